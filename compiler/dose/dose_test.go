package dose

import (
	"fmt"
	"strings"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

var day = must("2027-01-29")

func must(s string) unit.Date {
	d, err := unit.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func decs(s string) (out []unit.Dec) {
	for _, x := range strings.Fields(s) {
		out = append(out, unit.MustDec(x))
	}
	return out
}

func test(date string, h record.Hand, u unit.ForceUnit, trials string, index int) record.GripTest {
	return record.GripTest{Date: must(date), Hand: h, Unit: u, Trials: decs(trials), Gauge: "home", Index: index}
}

func client(step string, tests ...record.GripTest) *record.Client {
	return &record.Client{Dominant: record.Right, Grip: tests, Gauges: []record.Gauge{{ID: "home", Unit: unit.KilogramForce, Step: unit.MustDec(step)}}}
}

func protocol(hands record.Hands, shares ...string) *record.Protocol {
	p := &record.Protocol{ID: "grip", Modality: record.Handgrip}
	for i, s := range shares {
		p.Stages = append(p.Stages, record.Stage{Index: i, Rounds: 4, Hands: hands, Load: unit.MustDec(s)})
	}
	return p
}

var five = record.Sitting{LoadTolerance: unit.MustDec("0.05")}

func show(ds []record.Dose, ms []Missing) string {
	var out []string
	for _, d := range ds {
		out = append(out, fmt.Sprintf("%d %s %s of %s -> %s %s %s %s..%s", d.Stage, d.Hand, d.Wanted, d.Maximum, d.Set, d.Unit, d.Share.Percent(), d.Low, d.High))
	}
	for _, m := range ms {
		out = append(out, fmt.Sprintf("%d %s no %s %d", m.Stage, m.Hand, m.Lack, m.Test))
	}
	return strings.Join(out, "; ")
}

func TestGrip(t *testing.T) {
	const story = "worked story of Odile"
	const practice = "common practice"
	odile := []record.GripTest{test("2027-01-29", record.Right, "kgf", "10.6 11.2 10.9", 0), test("2027-01-29", record.Left, "kgf", "8.4 7.9 8.2", 1)}
	pair := []record.GripTest{test("2027-01-02", record.Right, "kgf", "38.5 40.0 39.0", 0), test("2027-01-02", record.Left, "kgf", "35.0 36.0 35.5", 1)}
	mean := test("2027-01-02", record.Right, "kgf", "38 40 39.5", 0)
	mean.Mean = true
	other := test("2027-01-02", record.Right, "kgf", "40", 0)
	other.Gauge = "clinic"
	for _, c := range []struct {
		why, source string
		p           *record.Protocol
		c           *record.Client
		want        string
	}{
		{"each hand has its own load; lines are cut inward", "the worked client of docs/guide.md", protocol(record.Alternate, "0.30"), client("0.5", pair...),
			"0 right 12 of 40 -> 12 kgf 30 % 10..14; 0 left 10.8 of 36 -> 10.5 kgf 29.2 % 9..12"},
		{"a step of 1 kgf, ramp first", story, protocol(record.Alternate, "0.20", "0.30"), client("1", odile...),
			"0 right 2.24 of 11.2 -> 2 kgf 17.9 % 2..2; 0 left 1.68 of 8.4 -> 1 kgf 11.9 % 1..1; 1 right 3.36 of 11.2 -> 3 kgf 26.8 % 3..3; 1 left 2.52 of 8.4 -> 2 kgf 23.8 % 2..2"},
		{"with a step of 0.5 the left ramp is 1.5 kgf", story, protocol(record.OnlyLeft, "0.20"), client("0.5", odile...),
			"0 left 1.68 of 8.4 -> 1.5 kgf 17.9 % 1.5..1.5"},
		{"a load under one step is zero and has no lines", story, protocol(record.OnlyLeft, "0.20"), client("2", odile...),
			"0 left 1.68 of 8.4 -> 0 kgf 0 % 0..0"},
		{"the lower line never reaches zero", practice, protocol(record.OnlyRight, "0.03"), client("1", pair...),
			"0 right 1.2 of 40 -> 1 kgf 2.5 % 1..3"},
		{"the mean where the record says so", practice, protocol(record.OnlyRight, "0.30"), client("0.5", mean),
			"0 right 11.75 of 39.166666666667 -> 11.5 kgf 29.4 % 10..13"},
		{"the newest test up to the day, the later of two on one day", practice, protocol(record.OnlyRight, "0.30"),
			client("0.5", test("2027-01-10", record.Right, "kgf", "50", 0), test("2027-01-10", record.Right, "kgf", "40", 1), test("2027-01-02", record.Right, "kgf", "60", 2), test("2027-01-30", record.Right, "kgf", "70", 3)),
			"0 right 12 of 40 -> 12 kgf 30 % 10..14"},
		{"a test in newtons on a kgf gauge is told in kgf, exactly", "NIST SP 811, appendix B.8", protocol(record.OnlyRight, "0.30"),
			client("0.5", test("2027-01-10", record.Right, "N", "392.266", 0)), "0 right 12 of 40 -> 12 kgf 30 % 10..14"},
		{"no test, no load", "docs/architecture.md, refusal 4", protocol(record.Together, "0.30"), client("0.5", pair[0]),
			"0 right 12 of 40 -> 12 kgf 30 % 10..14; 0 left no test -1"},
		{"another gauge, no load", "docs/architecture.md, refusal 4", protocol(record.Dominant, "0.30"), client("0.5", other), "0 right no gauge 0"},
		{"no trials, no load", practice, protocol(record.Dominant, "0.30"), client("0.5", test("2027-01-10", record.Right, "kgf", "", 4)), "0 right no maximum 4"},
		{"an unknown unit, no load", practice, protocol(record.Dominant, "0.30"), client("0.5", test("2027-01-10", record.Right, "stone", "9", 4)), "0 right no maximum 4"},
		{"another modality has no grip load", practice, &record.Protocol{Modality: record.WallSquat, Stages: []record.Stage{{Rounds: 4}}}, client("0.5", pair...), ""},
	} {
		if c.source == "" {
			t.Errorf("%s: no source", c.why)
		}
		if got := show(Grip(c.p, c.c, day, five)); got != c.want {
			t.Errorf("%s (%s):\n got %s\nwant %s", c.why, c.source, got, c.want)
		}
	}
}

func TestHands(t *testing.T) {
	for _, c := range []struct {
		why, source string
		s           record.Stage
		want        string
	}{
		{"alternating begins with the dominant hand", "common practice", record.Stage{Rounds: 4, Hands: record.Alternate}, "[left right]"},
		{"the starting hand goes first", "common practice", record.Stage{Rounds: 3, Hands: record.Alternate, StartHand: record.Right}, "[right left]"},
		{"one alternating squeeze trains one hand", "common practice", record.Stage{Rounds: 1, Hands: record.Alternate}, "[left]"},
		{"together trains both", "common practice", record.Stage{Rounds: 1, Hands: record.Together}, "[left right]"},
		{"the other hand", "common practice", record.Stage{Rounds: 2, Hands: record.NonDominant}, "[right]"},
	} {
		if got := fmt.Sprint(Hands(&c.s, record.Left)); got != c.want || c.source == "" {
			t.Errorf("%s (%q): got %s, want %s", c.why, c.source, got, c.want)
		}
	}
}

// Laws, source: docs/architecture.md, refusal 5. Set is a multiple of the step, never over the wanted load and less than a step
// under it; the lines hold the set load, are multiples of the step and lie within the tolerance.
func FuzzGrip(f *testing.F) {
	f.Add(uint16(400), uint8(30), uint8(5))
	f.Add(uint16(84), uint8(20), uint8(10))
	f.Fuzz(func(t *testing.T, score uint16, percent, step uint8) {
		st := unit.Ratio(int64(step)+1, 10)
		c := client("1", record.GripTest{Date: day, Hand: record.Right, Unit: unit.PoundForce, Trials: []unit.Dec{unit.Ratio(int64(score), 10)}, Gauge: "home"})
		c.Gauges[0] = record.Gauge{ID: "home", Unit: unit.PoundForce, Step: st}
		p := protocol(record.OnlyRight, "0")
		p.Stages[0].Load = unit.Ratio(int64(percent), 100)
		ds, ms := Grip(p, c, day, five)
		if len(ds)+len(ms) != 1 {
			t.Fatal("one hand, one answer")
		}
		for _, d := range ds {
			width := five.LoadTolerance.Mul(d.Maximum)
			for _, x := range []unit.Dec{d.Set, d.Low, d.High} {
				if !x.Quo(st).IsInt() {
					t.Errorf("%s is no multiple of %s", x, st)
				}
			}
			if d.Wanted.Less(d.Set) || !d.Wanted.Sub(d.Set).Less(st) || d.Set.Less(d.Low) || d.High.Less(d.Set) ||
				width.Less(d.Set.Sub(d.Low)) || width.Less(d.High.Sub(d.Set)) || d.Share.Mul(d.Maximum).Cmp(d.Set) != 0 {
				t.Errorf("%s", show(ds, nil))
			}
		}
	})
}
