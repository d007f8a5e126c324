package check

import "testing"

// Source: schema/base/effects.cue holds every effect as mmHg; these are the ways in which people write one.
func TestFall(t *testing.T) {
	for text, want := range map[string]int{
		"lowers pressure by 12 mmHg": 12, "-8 mmHg on average, -20 mmHg at best": 20, "a fall of 5 mmHg. Some fell by 14 mmHg": 14, "Drops it 18/9 mmHg": 18, "a fall of 5 to 8 mmHg": 8, "-15/-8 mmHg in 8 weeks": 15,
		"\u221210 mmHg": 10, "takes off 20 points": 20, "reduces blood pressure by up to 14 mm Hg": 14, "down 10.5 mmHg": 10,
		"lower numbers: 6-9 mmHg":        9,
		"senkt den Blutdruck um 12 mmHg": 12, "sinkt um 5 bis 8 mmHg": 8, "20 mmHg weniger": -1, "reduziert ihn um 15 Punkte": 15, "Handgriff im Wechsel": -1,
		"four squeezes of 120 s at 30 percent": -1, "only under 160/100 mmHg": -1, "for 8 weeks": -1, "lower the load by a tenth": -1, "": -1,
		"20-50 mmHg cuff": -1,
	} {
		got, ok := fall(text)
		if !ok {
			got = -1
		}
		if got != want {
			t.Errorf("%q: %d, want %d", text, got, want)
		}
	}
}
