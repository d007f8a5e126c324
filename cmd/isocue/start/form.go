package start

import (
	"bytes"
	_ "embed"
	"fmt"
	"maps"
	"slices"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/page"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

//go:embed form.html
var formBody string

//go:embed form.css
var formStyle string

var formPage = page.Parse("form", formBody)

// form is what stands on the page. A list of empty places is as long as there are places to write into.
type form struct {
	page.Head
	Rules                          string
	Set                            int
	Questions                      []rule.Question
	Medicines                      []rule.MedicineClass
	Cautions                       []record.Caution
	Expected                       []told
	Readings                       int
	Sit, Test, Between, End        string
	Arms                           string // mmHg between the arms over which the higher one is used always
	Gate, Grip, Breath, Squat      []struct{}
	Details                        []struct{}
	GripSpread, BreathSpread, Hold string
	Days                           []string
}

// details is for how many yeses and clearances there is room.
const details = 4

type told struct {
	Modality record.Modality
	Text     string
}

// Form is a page to print for the first visit: what a trainer asks, measures, teaches and explains before a record can be
// compiled. Its questions and its numbers are the rule base's; it holds nobody's answers.
func Form(b *rule.Base, version string) ([]byte, error) {
	s := b.Sitting
	f := form{Head: page.NewHead("en", version, "First visit", formStyle, ""), Rules: b.Version, Set: b.QuestionSet(), Questions: b.Questions(), Cautions: b.Cautions,
		Readings: s.Readings, Sit: span(s.SitSeconds), Test: span(s.TestSeconds), Between: span(s.TestRestSeconds), End: span(s.EndSeconds), Hold: span(s.FirstHoldSeconds),
		Arms: b.Limit("arm-difference", "ceiling").Num.String(), Gate: make([]struct{}, s.Readings), Details: make([]struct{}, details), Grip: places(b.Limit("grip-trials", "floor")),
		Breath: places(b.Limit("mip-trials", "floor")), Squat: places(b.Limit("squat-stages", "floor")),
		GripSpread: percent(b.Limit("grip-trials-spread", "ceiling")), BreathSpread: percent(b.Limit("mip-spread", "ceiling")),
		Days: []string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}}
	for _, id := range slices.Sorted(maps.Keys(b.Medicines)) {
		f.Medicines = append(f.Medicines, b.Medicines[id])
	}
	for _, m := range record.Modalities {
		f.Expected = append(f.Expected, told{m, b.Expected[m]})
	}
	var out bytes.Buffer
	if err := formPage().Execute(&out, f); err != nil {
		return nil, finding.Bug{What: err.Error()}
	}
	return out.Bytes(), nil
}

func places(n *tree.Node) []struct{} { return make([]struct{}, n.Whole()) }

// span is a number of seconds as people say it.
func span(s int) string {
	if s%60 == 0 && s > 60 {
		return fmt.Sprint(s/60, " minutes")
	}
	return fmt.Sprint(s, " seconds")
}

func percent(n *tree.Node) string { return n.Num.Mul(unit.Int(100)).String() + " percent" }
