package rule

import (
	"cmp"
	"fmt"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

func (b *Base) readComparison(n *tree.Node) {
	c := n.Get("comparison")
	ends, err := unit.ParseClock(c.Get("morningEnds").Text())
	if err != nil {
		panic(finding.Bug{What: fmt.Sprintf("schema/base/comparison.cue: %v", err)})
	}
	b.Comparison = record.Comparison{Weeks: c.Get("weeks").Whole(), MostWeeks: c.Get("mostWeeks").Whole(),
		SystolicVariation: c.Get("systolicVariation").Number(), DiastolicVariation: c.Get("diastolicVariation").Number(),
		Quantile: c.Get("quantile").Number(), Coverage: c.Get("coverage").Number(),
		AssumedMean: c.Get("assumedMean").Number(), Remains: c.Get("remains").Number(), RemainsMonths: c.Get("remainsMonths").Whole(),
		MorningEnds: ends, MorningShare: c.Get("morningShare").Number(), RecentDays: c.Get("recentDays").Whole(), AfterHours: c.Get("afterHours").Whole(),
		Lowest: c.Get("lowest").Whole(), Highest: c.Get("highest").Whole(),
		LowestPulse: c.Get("lowestPulse").Whole(), HighestPulse: c.Get("highestPulse").Whole()}
}

// readSymptoms reads what a log may tell of.
func readSymptoms(n *tree.Node) (out []record.Symptom) {
	all := n.Get("symptoms")
	for _, k := range all.Keys {
		s := all.Field[k]
		x := record.Symptom{ID: k, Grave: yes(s, "grave"), Low: yes(s, "low"), Incident: yes(s, "incident"), Injury: yes(s, "injury"), Unnamed: yes(s, "unnamed"), Matter: yes(s, "matter"),
			Today: s.Get("today").Text(), Closes: modalities(s.Get("closes"))}
		x.Words, x.English, x.German, x.Milder = texts(s.Get("words")), texts(s.Get("en")), texts(s.Get("de")), texts(s.Get("milder"))
		out = append(out, x)
	}
	return out
}

func modalities(n *tree.Node) (out []record.Modality) {
	for _, m := range texts(n) {
		out = append(out, record.Modality(m))
	}
	return out
}

func readLogWords(n *tree.Node) record.LogWords {
	w := n.Get("logWords")
	return record.LogWords{Negations: texts(w.Get("negations")), Near: texts(w.Get("near")), Over: texts(w.Get("over")), Or: texts(w.Get("or")),
		Turns: texts(w.Get("turns")), Well: texts(w.Get("well")), Ill: texts(w.Get("ill")), Small: texts(w.Get("small")),
		Returns: texts(w.Get("returns")), Until: texts(w.Get("until")), Away: texts(w.Get("away")), Yes: texts(w.Get("yes")), None: texts(w.Get("none")),
		Idioms: both(w.Get("idioms")), Everyday: both(w.Get("everyday")), Others: both(w.Get("others")), Links: both(w.Get("links")), Past: both(w.Get("past")),
		Unknown: modalities(w.Get("unknown", "closes"))}
}

// medicine is the class of words of texts.cue that the generic names of medicines belong to.
const medicine = "MEDICINE"

// both is a list of English and one of German, which make no difference to a reader of both.
func both(n *tree.Node) []string { return append(texts(n.Get("en")), texts(n.Get("de"))...) }

func readTexts(n *tree.Node) record.TextWords {
	n = n.Get("textWords")
	out := record.TextWords{Classes: map[string][]string{}, Negations: texts(n.Get("negations")), After: texts(n.Get("after")), Carries: texts(n.Get("carries")), Or: texts(n.Get("or")), Whys: texts(n.Get("whys"))}
	for _, k := range n.Get("classes").Keys {
		out.Classes[k] = both(n.Get("classes", k))
	}
	return out
}

// readSays reads what texts must not say.
func readSays(n *tree.Node) (out []record.TextSays) {
	all := n.Get("textWords", "says")
	for _, k := range all.Keys {
		x := all.Field[k]
		out = append(out, record.TextSays{Fact: cmp.Or(x.Get("fact").Text(), k), Entries: both(x), Unless: both(x.Get("unless"))})
	}
	return out
}

// readGenerics is the generic names of medicines as texts write them: with any ending, and in German without the e.
func readGenerics(n *tree.Node) (out []string) {
	all := n.Get("medicineClasses")
	for _, k := range all.Keys {
		for _, g := range texts(all.Field[k].Get("generics")) {
			if !strings.Contains(g, "-") {
				out = append(out, strings.TrimSuffix(g, "e")+"*")
			}
		}
	}
	return out
}

// Compared is the figures of a comparison with those that are limits of rules, so that a clinic's policy narrows them too.
func (b *Base) Compared() record.Comparison {
	c := b.Comparison
	c.LeastDays, c.LeastReadings = b.Limit("window-days", "floor").Whole(), b.Limit("window-readings", "floor").Whole()
	c.LeastFall, c.LeastSessions = b.Limit("log-no-change", "floor").Num, b.Limit("log-sessions-half", "floor").Num
	c.SettleDays = b.Limit("medicine-changed-lately", "floor").Whole()
	return c
}

func texts(n *tree.Node) (out []string) {
	for _, e := range n.Items() {
		out = append(out, e.Text())
	}
	return out
}
