package rule

import (
	"cmp"
	"regexp"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

func base(t *testing.T) *Base {
	t.Helper()
	b, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Categories at every boundary; the higher category wins. Sources: ACC/AHA 2017 table 3, kept in 2025 (read); ESC 2024
// (secondary, home bands under hypertension from memory); ESH 2023 grades (secondary).
func TestPressureClasses(t *testing.T) {
	b := base(t)
	for _, c := range []struct {
		set, setting string
		s, d         int64
		want, source string
	}{
		{"acc-aha-2025", "clinic", 119, 79, "normal", "read"}, {"acc-aha-2025", "clinic", 119, 80, "stage 1", "read"},
		{"acc-aha-2025", "clinic", 120, 79, "elevated", "read"}, {"acc-aha-2025", "clinic", 129, 79, "elevated", "read"},
		{"acc-aha-2025", "clinic", 129, 80, "stage 1", "read"}, {"acc-aha-2025", "clinic", 130, 70, "stage 1", "read"},
		{"acc-aha-2025", "clinic", 139, 89, "stage 1", "read"}, {"acc-aha-2025", "clinic", 139, 90, "stage 2", "read"},
		{"acc-aha-2025", "clinic", 140, 70, "stage 2", "read"}, {"acc-aha-2025", "clinic", 180, 120, "stage 2", "read"},
		{"acc-aha-2025", "clinic", 181, 70, "severe", "read"}, {"acc-aha-2025", "clinic", 150, 121, "severe", "read"},
		{"acc-aha-2025", "home", 134, 84, "stage 1", "table 7, read"}, {"acc-aha-2025", "home", 135, 60, "stage 2", "table 7, read"},
		{"esc-2024", "clinic", 119, 69, "non-elevated", "secondary"}, {"esc-2024", "clinic", 119, 70, "elevated", "secondary"},
		{"esc-2024", "clinic", 120, 60, "elevated", "secondary"}, {"esc-2024", "clinic", 139, 89, "elevated", "secondary"},
		{"esc-2024", "clinic", 118, 90, "hypertension", "secondary"}, {"esc-2024", "clinic", 140, 60, "hypertension", "secondary"},
		{"esc-2024", "home", 134, 84, "elevated", "memory"}, {"esc-2024", "home", 135, 60, "hypertension", "secondary"},
		{"esh-2023", "clinic", 119, 79, "optimal", "secondary"}, {"esh-2023", "clinic", 119, 80, "normal", "secondary"},
		{"esh-2023", "clinic", 129, 85, "high-normal", "secondary"}, {"esh-2023", "clinic", 140, 89, "grade 1", "secondary"},
		{"esh-2023", "clinic", 159, 100, "grade 2", "secondary"}, {"esh-2023", "clinic", 179, 109, "grade 2", "secondary"},
		{"esh-2023", "clinic", 180, 70, "grade 3", "secondary"}, {"esh-2023", "home", 135, 60, "hypertension", "secondary"},
	} {
		if c.source == "" {
			t.Errorf("%v has no source", c)
		}
		if got := b.Class(c.set, c.setting, unit.Int(c.s), unit.Int(c.d)); got != c.want {
			t.Errorf("%s %s %d/%d is %q, want %q (%s)", c.set, c.setting, c.s, c.d, got, c.want, c.source)
		}
	}
}

// Worked values of Evans & Whitelaw (Respir Care 2009;54:1348, read) and Harik-Khan (AJRCCM 1998;158:1459, read).
func TestInspiratoryNorms(t *testing.T) {
	b := base(t)
	for _, c := range []struct {
		id, sex        string
		age            int
		kg, cm         string
		predicted, low string
	}{
		{"evans-whitelaw", "male", 30, "0", "0", "107.7", "57.5"}, {"evans-whitelaw", "male", 50, "0", "0", "99.5", "54.5"},
		{"evans-whitelaw", "male", 65, "0", "0", "93.35", "52.25"}, {"evans-whitelaw", "male", 70, "0", "0", "91.3", "51.5"},
		{"evans-whitelaw", "female", 30, "0", "0", "89.7", "47"}, {"evans-whitelaw", "female", 50, "0", "0", "77.5", "37"},
		{"evans-whitelaw", "female", 65, "0", "0", "68.35", "29.5"}, {"evans-whitelaw", "female", 70, "0", "0", "65.3", "27"},
		{"harik-khan", "male", 50, "80", "0", "102.04", "65.192"}, {"harik-khan", "female", 50, "65", "165", "69.67", "39.2375"},
	} {
		found := false
		for _, n := range b.Inspiratory {
			if n.ID != c.id || n.Sex != c.sex {
				continue
			}
			found = true
			kg, cm := unit.MustDec(c.kg), unit.MustDec(c.cm)
			if p, l := n.Predicted(c.age, kg, cm), n.Low(c.age, kg, cm); p.String() != c.predicted || l.String() != c.low {
				t.Errorf("%s %s of %d: predicted %s, lower limit %s, want %s and %s", c.id, c.sex, c.age, p, l, c.predicted, c.low)
			}
		}
		if !found {
			t.Errorf("no norm %s for %s", c.id, c.sex)
		}
	}
}

// Cells of Massy-Westropp 2011, table 2, as reproduced on a reference page (secondary).
func TestGripNorms(t *testing.T) {
	b := base(t)
	for _, c := range []struct {
		sex      string
		age      int
		hand     record.Hand
		mean, sd string
	}{{"male", 20, record.Right, "47", "9.5"}, {"male", 69, record.Left, "38", "8"}, {"female", 55, record.Right, "28", "6.3"}, {"female", 91, record.Left, "19", "5.5"}} {
		n, ok := b.GripNorm(c.sex, c.age, c.hand)
		if !ok || n.Mean.String() != c.mean || n.SD.String() != c.sd {
			t.Errorf("%v: %v %s (%s)", c, ok, n.Mean, n.SD)
		}
	}
	if _, ok := b.GripNorm("male", 19, record.Right); ok {
		t.Error("a norm was found for an age that has none")
	}
	if len(b.Grip) != 24 {
		t.Errorf("%d cells, want 24", len(b.Grip))
	}
}

// Every question has an effect that means something for its modality, and every medicine class what the coach says.
func TestScreeningData(t *testing.T) {
	b := base(t)
	symptoms := 0
	for i, q := range b.Questions() {
		if q.Symptom {
			symptoms++
			if i >= 10 {
				t.Errorf("symptom %s stands at place %d: symptoms come first", q.ID, i+1)
			}
		}
		if q.Set < 1 || q.Set > b.QuestionSet() || q.Asks == "" || q.Says == "" {
			t.Errorf("question %s is not whole", q.ID)
		}
		if q.Effect(record.Squeezing) == "changes" && !q.Side {
			t.Errorf("question %s changes the hand and asks no side", q.ID)
		}
	}
	if symptoms < 5 || len(b.Questions()) < 50 {
		t.Errorf("%d symptoms, %d questions", symptoms, len(b.Questions()))
	}
	for k, m := range b.Medicines {
		if m.Name == "" || m.Says == "" {
			t.Errorf("medicine %s is not whole", k)
		}
	}
}

// promised finds the average falls in a text of what may be told, systolic first.
var promised = regexp.MustCompile(`\babout (\d+)(?: to (\d+))? ?(?:on average|systolic|\.)`)

// No claim rule lets a protocol promise more than the largest pooled clinic mean of its modality; every effect has its
// source, and null results stand beside the others.
func TestClaimsStayInsideTheEffects(t *testing.T) {
	b := base(t)
	null := 0
	most := map[record.Modality][2]unit.Dec{}
	for _, e := range b.Effects {
		if _, ok := b.Sources()[e.Source]; !ok {
			t.Errorf("%s: source %q is missing", e.What, e.Source)
		}
		if e.High.Sign() > 0 {
			null++
		}
		if m := most[e.Modality]; e.Setting == "clinic" {
			if e.Systolic.Less(m[0]) {
				m[0] = e.Systolic
			}
			if e.Diastolic.Less(m[1]) {
				m[1] = e.Diastolic
			}
			most[e.Modality] = m
		}
	}
	if null < 3 {
		t.Errorf("%d null results, want them all", null)
	}
	for m, top := range most {
		for i, n := range []string{"systolic", "diastolic"} {
			limit := b.Limit("claim-"+string(m)+"-"+n, "floor").Num
			if limit.Less(top[i]) {
				t.Errorf("claims of %s by %s may reach %s, the pools %s", n, m, limit, top[i])
			}
		}
		if b.Expected[m] == "" {
			t.Errorf("%s has no text of what may be told", m)
		}
		told := promised.FindAllStringSubmatch(b.Expected[m], -1)
		if len(told) == 0 {
			t.Errorf("%s: %q tells no number", m, b.Expected[m])
		}
		for i, x := range told {
			if n := unit.MustDec("-" + cmp.Or(x[2], x[1])); i > 1 || n.Less(top[i]) {
				t.Errorf("what may be told of %s is %s, the pools say %s", m, x[0], top[i%2])
			}
		}
	}
}
