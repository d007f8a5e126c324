package diary

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

func at(s string) *unit.Clock {
	c, err := unit.ParseClock(s)
	if err != nil {
		panic(err)
	}
	return &c
}

// pool are entries of two days in which everything occurs that decides an order.
func pool(t testing.TB) []record.Entry {
	a, b := testkit.Date(t, "2027-03-01"), testkit.Date(t, "2027-03-02")
	return []record.Entry{
		{ID: "a1", Date: a, What: record.Ill, Words: "fever"}, {ID: "a2", Date: a, What: record.Well},
		{ID: "a3", Date: a, What: record.Begins, Condition: &record.Condition{Code: "hand-hurt", Side: record.Left}},
		{ID: "a4", Date: a, What: record.Over, Condition: &record.Condition{Code: "hand-hurt", Side: record.Left}},
		{ID: "a5", Date: a, What: record.Paused, Pause: &record.Span{From: a}}, {ID: "a6", Date: a, What: record.Resumed},
		{ID: "a7", Date: a, What: record.Stop}, {ID: "a8", Date: a, What: record.CourseIs, Course: &record.NewCourse{Protocols: []string{"x"}, Start: b}},
		{ID: "b1", Date: b, Time: at("09:00"), What: record.Well}, {ID: "b2", Date: b, Time: at("08:00"), What: record.Ill, Words: "cold"},
		{ID: "b3", Date: b, What: record.Felt, Words: "dizzy"}, {ID: "b4", Date: b, What: record.Void, Void: &record.VoidNote{Entry: "a3", Why: "the other client"}},
		{ID: "b5", Date: b, What: record.Moved, Move: &record.Move{Zone: "Europe/Lisbon", Emergency: "112"}},
		{ID: "b6", Date: b, What: record.Moved, Move: &record.Move{Zone: "Europe/Paris", Emergency: "112"}},
	}
}

// Any order of lines, merged from any number of writers with lines that two of them have, is one diary.
func TestOrderOfLinesDecidesNothing(t *testing.T) {
	all := pool(t)
	want := Of(all)
	if len(want.Entries) != len(all) {
		t.Fatalf("%d of %d entries", len(want.Entries), len(all))
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 500 {
		es := slices.Clone(all)
		for range rnd.IntN(6) { // what a union merge leaves twice
			again := es[rnd.IntN(len(es))]
			again.File, again.Line = "other", 9
			es = append(es, again)
		}
		rnd.Shuffle(len(es), func(i, j int) { es[i], es[j] = es[j], es[i] })
		got := Of(es)
		for i := range got.Entries {
			got.Entries[i].File, got.Entries[i].Line = "", 0
		}
		if !reflect.DeepEqual(got.Entries, want.Entries) {
			t.Fatalf("another order: %v", ids(got.Entries))
		}
		if !slices.Equal(says(got), says(want)) || len(got.Voided) != 1 || len(got.Live()) != len(all)-2 {
			t.Fatalf("other trouble: %v\nnot %v", says(got), says(want))
		}
	}
}

func ids(es []record.Entry) (out []string) {
	for _, e := range es {
		out = append(out, e.ID)
	}
	return out
}

func says(d *Diary) (out []string) {
	for _, x := range d.Trouble {
		s := x.Rule + " " + x.One.ID + ": " + x.Says
		if x.Other != nil {
			s += " (" + x.Other.ID + ")"
		}
		out = append(out, s)
	}
	return out
}

// By day, then by time; of one moment what closes comes before what opens.
func TestOrder(t *testing.T) {
	got := strings.Join(ids(Sorted(pool(t))), " ")
	if want := "a3 a1 a5 a7 a8 a4 a6 a2 b3 b5 b6 b4 b2 b1"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestLater(t *testing.T) {
	a, b := testkit.Date(t, "2027-03-01"), testkit.Date(t, "2027-03-02")
	for _, c := range []struct {
		why        string
		one, other record.Entry
		want       bool
	}{
		{"another day", record.Entry{Date: b}, record.Entry{Date: a}, true},
		{"the day before", record.Entry{Date: a}, record.Entry{Date: b}, false},
		{"both have a time", record.Entry{Date: a, Time: at("09:00")}, record.Entry{Date: a, Time: at("08:00")}, true},
		{"one has no time", record.Entry{Date: a, Time: at("09:00")}, record.Entry{Date: a}, false},
		{"the other has no time", record.Entry{Date: a}, record.Entry{Date: a, Time: at("08:00")}, false},
		{"the same time", record.Entry{Date: a, Time: at("08:00")}, record.Entry{Date: a, Time: at("08:00")}, false},
		{"it names the other", record.Entry{Date: a, What: record.Told, Told: &record.ToldNote{About: []string{"x"}}}, record.Entry{ID: "x", Date: a}, true},
	} {
		if got := Later(&c.one, &c.other); got != c.want {
			t.Errorf("%s: %v", c.why, got)
		}
	}
}

// Every kind of entry beside every other of its day: what closes and what opens the same are one finding, and so are two that say
// different things of one thing; times on both tell which is later, and end it.
func TestContradictions(t *testing.T) {
	a := testkit.Date(t, "2027-03-01")
	e := func(w record.Happening) record.Entry { return record.Entry{Date: a, What: w} }
	grip := func(n int64) record.Entry {
		x := e(record.GripIs)
		x.Grip = &record.GripTest{Hand: record.Left, Gauge: "g", Trials: []unit.Dec{unit.Int(n)}}
		return x
	}
	cond := func(w record.Happening, side record.Hand) record.Entry {
		x := e(w)
		x.Condition = &record.Condition{Code: "c", Side: side}
		return x
	}
	illNow := func(w record.Happening) record.Entry {
		x := e(w)
		x.Condition = &record.Condition{Code: IllNow}
		return x
	}
	pause := func(from unit.Date) record.Entry {
		x := e(record.Paused)
		x.Pause = &record.Span{From: from}
		return x
	}
	asked := func(answer string) record.Entry {
		x := e(record.Asked)
		x.Answers = &record.Screening{Answers: map[string]string{"q": answer, "r": "no"}}
		return x
	}
	course := func(add bool) record.Entry {
		x := e(record.CourseIs)
		x.Course = &record.NewCourse{Protocols: []string{map[bool]string{true: "x", false: "y"}[add]}, Add: add}
		return x
	}
	for _, c := range []struct {
		why    string
		a, b   record.Entry
		counts string // "" for no contradiction
	}{
		{"ill and well", e(record.Ill), e(record.Well), "ill counts"},
		{"ill and ill", e(record.Ill), e(record.Ill), ""},
		{"ill, and the end of that condition", e(record.Ill), illNow(record.Over), "ill counts"},
		{"well, and the end of that condition", e(record.Well), illNow(record.Over), ""},
		{"that condition, and well", illNow(record.Begins), e(record.Well), "ill counts"},
		{"a condition and its end", cond(record.Begins, record.Left), cond(record.Over, record.Left), "the condition counts"},
		{"a condition and the end of that of the other side", cond(record.Begins, record.Left), cond(record.Over, record.Right), ""},
		{"pause and resume", pause(a), e(record.Resumed), "the pause counts"},
		{"an announced pause", pause(a + 7), e(record.Resumed), ""},
		{"stop and course", e(record.Stop), course(false), "the stop counts"},
		{"a course and one beside it", course(false), course(true), ""},
		{"two maxima of a hand", grip(30), grip(40), "the lower counts"},
		{"one maximum twice", grip(30), grip(30), ""},
		{"a yes and a no", asked("yes"), asked("no"), "yes counts"},
		{"ill and a pause", e(record.Ill), pause(a), ""},
	} {
		for _, swap := range []bool{false, true} {
			one, other := c.a, c.b
			one.ID, other.ID = "x1", "x2"
			if swap {
				one, other = other, one
			}
			d := Of([]record.Entry{one, other})
			switch {
			case c.counts == "" && len(d.Trouble) > 0:
				t.Errorf("%s: %v", c.why, says(d))
			case c.counts != "" && (len(d.Trouble) != 1 || !strings.HasSuffix(d.Trouble[0].Says, ": "+c.counts) || d.Trouble[0].Other == nil):
				t.Errorf("%s: %v", c.why, says(d))
			}
			one.Time, other.Time = at("08:00"), at("09:00")
			if d = Of([]record.Entry{one, other}); len(d.Trouble) > 0 {
				t.Errorf("%s, with times: %v", c.why, says(d))
			}
		}
	}
}

func TestVoidsAndNames(t *testing.T) {
	a := testkit.Date(t, "2027-03-02")
	ill := record.Entry{ID: "i", Date: a, What: record.Ill}
	void := func(id, of string, on unit.Date) record.Entry {
		return record.Entry{ID: id, Date: on, What: record.Void, Void: &record.VoidNote{Entry: of, Why: "wrong client"}}
	}
	for _, c := range []struct {
		why    string
		es     []record.Entry
		voided int
		says   string // of the trouble, "" for none
	}{
		{"a void", []record.Entry{ill, void("v", "i", a)}, 1, ""},
		{"a void of nothing", []record.Entry{ill, void("v", "j", a)}, 0, "not in the diary"},
		{"a void before its entry", []record.Entry{ill, void("v", "i", a-1)}, 0, "after its void"},
		{"a void of what lies ahead", []record.Entry{{ID: "p", Date: a, What: record.Paused, Pause: &record.Span{From: a}}, void("v", "p", a-1)}, 1, ""},
		{"a void of a void", []record.Entry{ill, void("v", "i", a), void("w", "v", a)}, 1, "taken back by a void"},
		{"two voids", []record.Entry{ill, void("v", "i", a), void("w", "i", a+1)}, 1, ""},
		{"an id of two entries", []record.Entry{ill, {ID: "i", Digest: "other", Date: a, What: record.Felt, Words: "x"}, void("v", "i", a)}, 0, "two entries have the id i"},
		{"a call about nothing", []record.Entry{{ID: "t", Date: a, What: record.Told, Told: &record.ToldNote{Who: "client", About: []string{"zz"}}}}, 0, "not in the diary"},
	} {
		d := Of(c.es)
		if len(d.Voided) != c.voided || (c.says == "") != (len(d.Trouble) == 0) || c.says != "" && !strings.Contains(strings.Join(says(d), "\n"), c.says) {
			t.Errorf("%s: %d voided, %v", c.why, len(d.Voided), says(d))
		}
	}
}
