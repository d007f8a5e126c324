package session

import (
	"fmt"
	"strings"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

var (
	client = &record.Client{Dominant: record.Right}
	times  = record.Sitting{ChangeHandSeconds: 10}
)

func loads(stage int) []record.Dose {
	day, _ := unit.ParseDate("2027-01-02")
	d := func(h record.Hand, set, low, high string) record.Dose {
		return record.Dose{Protocol: "p", Stage: stage, Hand: h, Unit: "kgf", Set: unit.MustDec(set), Low: unit.MustDec(low), High: unit.MustDec(high), Measured: day}
	}
	return []record.Dose{d(record.Right, "12", "10", "14"), d(record.Left, "10.5", "9", "12")}
}

func grip(hands record.Hands, rounds, hold, rest int) (*record.Protocol, *record.Stage) {
	return &record.Protocol{ID: "p", Modality: record.Handgrip}, &record.Stage{Hands: hands, Rounds: rounds, HoldSeconds: hold, RestSeconds: rest}
}

func breathing(minutes string, in, pause, out unit.Tenths) (*record.Protocol, *record.Stage) {
	return &record.Protocol{ID: "p", Modality: record.SlowBreathing}, &record.Stage{Minutes: unit.MustDec(minutes), Breath: record.Breath{Inhale: in, Pause: pause, Exhale: out}}
}

func show(k record.Kind) string {
	var out []string
	for _, s := range k.Steps {
		x := fmt.Sprintf("%s %s", s.Kind, s.Seconds)
		if s.Hand != "" {
			x += " " + string(s.Hand)
		}
		if s.Target != nil {
			x += fmt.Sprintf(" %s (%s to %s) %s %s", s.Target, s.Low, s.High, s.Unit, s.From)
		}
		if s.Count > 0 {
			x += fmt.Sprintf(" x%d", s.Count)
		}
		out = append(out, x)
	}
	return fmt.Sprintf("%s: %s", k.WorkSeconds, strings.Join(out, ", "))
}

func TestBuild(t *testing.T) {
	const practice = "common practice"
	right := "12 (10 to 14) kgf grip:right:2027-01-02"
	left := "10.5 (9 to 12) kgf grip:left:2027-01-02"
	type build func() (*record.Protocol, *record.Stage)
	g := func(h record.Hands, rounds, hold, rest int) build {
		return func() (*record.Protocol, *record.Stage) { return grip(h, rounds, hold, rest) }
	}
	b := func(m string, in, pause, out unit.Tenths) build {
		return func() (*record.Protocol, *record.Stage) { return breathing(m, in, pause, out) }
	}
	for _, c := range []struct {
		why, source string
		make        build
		want        string // a prefix of the steps, or of the error after "session p/0: "
	}{
		{"four two-minute squeezes with three four-minute rests are 20 min", practice, g(record.Alternate, 4, 120, 240),
			"1200: squeeze 120 right " + right + ", change-hand 10 left, rest 230, squeeze 120 left " + left + ", change-hand 10 right, rest 230, squeeze 120 right"},
		{"the story's work is 660 s", "worked story of Odile", g(record.Alternate, 4, 120, 60), "660: squeeze 120 right"},
		{"one hand changes nothing", practice, g(record.OnlyLeft, 2, 120, 60), "300: squeeze 120 left " + left + ", rest 60, squeeze 120 left " + left},
		{"the change of hands takes no more than the rest", practice, g(record.Alternate, 2, 30, 5), "65: squeeze 30 right " + right + ", change-hand 5 left, squeeze 30 left"},
		{"no rest, no step between", practice, g(record.Alternate, 2, 30, 0), "60: squeeze 30 right " + right + ", squeeze 30 left"},
		{"both hands at once have no one target", practice, g(record.Together, 2, 30, 5), "65: squeeze 30 both, rest 5, squeeze 30 both"},
		{"2 + 2 + 6 s are six breaths a minute, 30 in five minutes", practice, b("5", 20, 20, 60), "300: breathe 300 x30"},
		{"what is left of the minutes is sitting", practice, b("5", 25, 0, 45), "300: breathe 294 x42, sit 6"},
		{"half a minute", practice, b("0.5", 40, 0, 60), "30: breathe 30 x3"},
		{"no whole breath", practice, b("0.1", 40, 0, 60), "found a breath of 4 s in"},
		{"finer than a tenth", practice, b("0.001", 4, 0, 6), "found 0.001 min"},
		{"no squeeze", practice, g(record.Alternate, 0, 30, 5), "found 0 squeezes"},
		{"a squat without a load", practice, func() (*record.Protocol, *record.Stage) {
			return &record.Protocol{ID: "p", Modality: record.WallSquat}, &record.Stage{}
		}, "found 0 squats of 0 s"},
	} {
		if c.source == "" {
			t.Errorf("%s: no source", c.why)
		}
		p, s := c.make()
		k, err := Build(p, s, loads(0), client, times)
		got := show(k)
		if err != nil {
			got = strings.TrimPrefix(err.Error(), "session p/0: ")
		}
		if !strings.HasPrefix(got, c.want) {
			t.Errorf("%s (%s):\n got %s\nwant %s", c.why, c.source, got, c.want)
		}
	}
}

// Source: common practice; 4 x 120 s.
func TestEightMinutesOfTwentySqueezing(t *testing.T) {
	p, s := grip(record.Alternate, 4, 120, 240)
	k, err := Build(p, s, loads(0), client, times)
	var sum unit.Tenths
	for _, x := range k.Steps {
		if x.Kind == record.Squeeze {
			sum += x.Seconds
		}
	}
	if err != nil || sum != unit.Seconds(480) || k.WorkSeconds != unit.Seconds(1200) || len(k.Loads) != 2 {
		t.Errorf("squeezing %s of %s s, %d loads, %v; want 480 of 1200, 2", sum, k.WorkSeconds, len(k.Loads), err)
	}
}

// Source: docs/architecture.md, refusal 4: no squeeze without a measured load.
func TestNoLoadNoKind(t *testing.T) {
	for _, h := range []record.Hands{record.Alternate, record.Together} {
		p, s := grip(h, 2, 30, 5)
		zero := loads(0)
		zero[1].Set = unit.Dec{}
		for _, ds := range [][]record.Dose{nil, loads(1), loads(0)[:1], zero} {
			if k, err := Build(p, s, ds, client, times); err == nil {
				t.Errorf("%s with %d loads: %s, want an error", h, len(ds), show(k))
			}
		}
	}
}

func TestVerifyFindsWhatIsWrong(t *testing.T) {
	for _, c := range []struct {
		why, source string
		spoil       func(k *record.Kind)
	}{
		{"a second too much", "docs/architecture.md, numbers", func(k *record.Kind) { k.WorkSeconds += 10 }},
		{"a second too little", "docs/architecture.md, numbers", func(k *record.Kind) { k.WorkSeconds -= 10 }},
		{"an empty step", "docs/architecture.md, numbers", func(k *record.Kind) { k.Steps[1].Seconds = 0 }},
		{"a rest at the end", "common practice", func(k *record.Kind) {
			k.Steps = append(k.Steps, record.Step{Kind: record.Rest, Seconds: 10})
			k.WorkSeconds += 10
		}},
		{"a target outside its lines", "common practice", func(k *record.Kind) { k.Steps[0].Low = k.Steps[0].High }},
		{"a squeeze without a measurement", "docs/architecture.md, refusal 4", func(k *record.Kind) { k.Steps[0].From = "" }},
		{"one target for two hands", "common practice", func(k *record.Kind) { k.Steps[0].Hand = record.Both }},
		{"no steps", "common practice", func(k *record.Kind) { k.Steps = nil }},
	} {
		p, s := grip(record.Alternate, 4, 120, 60)
		k, err := Build(p, s, loads(0), client, times)
		if err != nil || Verify(k) != nil {
			t.Fatal(err, Verify(k))
		}
		if c.spoil(&k); Verify(k) == nil || c.source == "" {
			t.Errorf("%s (%q): not found", c.why, c.source)
		}
	}
}

// Laws, source: design, section 5: the steps sum to the work, the squeezes keep the stage's order.
func FuzzBuild(f *testing.F) {
	f.Add(uint8(4), uint16(120), uint16(240), uint8(0), uint8(10))
	f.Fuzz(func(t *testing.T, rounds uint8, hold, rest uint16, hands, change uint8) {
		all := []record.Hands{record.Alternate, record.Together, record.OnlyLeft, record.OnlyRight, record.Dominant, record.NonDominant}
		p, s := grip(all[int(hands)%len(all)], int(rounds), int(hold), int(rest))
		k, err := Build(p, s, loads(0), client, record.Sitting{ChangeHandSeconds: int(change)})
		if (err == nil) != (rounds > 0 && hold > 0) {
			t.Fatal(err)
		}
		var got []record.Hand
		var sum unit.Tenths
		for _, x := range k.Steps {
			sum += x.Seconds
			if x.Kind == record.Squeeze {
				got = append(got, x.Hand)
			}
		}
		if err == nil && (fmt.Sprint(got) != fmt.Sprint(s.Order(record.Right)) || sum != k.WorkSeconds) {
			t.Fatalf("%v, %s", got, show(k))
		}
	})
}
