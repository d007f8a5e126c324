package compiler

import (
	"slices"
	"strings"
	"testing"
)

// What a row says is found in whatever cell it stands, of either log, read or not. Source: columns that people and programs add.
func TestEveryCellIsLookedAt(t *testing.T) {
	head := func(h string) string { return "at,systolic,diastolic,pulse,arm,posture,note," + h + "\n" }
	row := "2027-01-02T21:00,131,79,66,left,,,"
	for _, x := range []struct{ why, pressure, sessions, want string }{
		{"a column that nobody knows", head("how I felt") + row + "chest pain and fainted\n", "", "log-danger-sign"},
		{"a column without a heading", head("") + row + "chest pain\n", "", "log-danger-sign"},
		{"a symptom as a heading", head("chest pain") + row + "yes\n", "", "log-danger-sign"},
		{"a symptom as a heading, in German", head("Brustschmerz") + row + "ja\n", "", "log-danger-sign"},
		{"a symptom as a heading, on a scale", head("chest pain") + row + "3\n", "", "log-danger-sign"},
		{"a pulse under another name", head("resting pulse") + row + "170\n", "", "log-row-hides-pulse"},
		{"a pulse under another name, in German", head("Frequenz") + row + "170\n", "", "log-row-hides-pulse"},
		{"a pressure under posture", pressureHead + "2027-01-02T21:00,131,79,66,left,192/112,,\n", "", "log-row-hides"},
		{"a sign under arm", pressureHead + "2027-01-02T21:00,131,79,66,chest pain,,,\n", "", "log-danger-sign"},
		{"surplus cells", pressureHead + "2027-01-02T21:00,131,79,66,left,,,,192,112\n", "", "log-row-hides"},
		{"another separator", pressureHead + "2027-01-02T21:00;192;112;66;left;;;\n", "", "log-row-hides"},
		{"tabs", pressureHead + "2027-01-02T21:00\t192\t112\t66\n", "", "log-row-hides"},
		{"bars", pressureHead + "2027-01-02T21:00|192|112|66\n", "", "log-row-hides"},
		{"spaces", pressureHead + "2027-01-02T21:00 192 112 66\n", "", "log-row-hides"},
		{"a row quoted whole", pressureHead + "\"2027-01-02T21:00,192,112,66\"\n", "", "log-row-hides"},
		{"a pulse in such a row", pressureHead + "2027-01-02T21:00;131;79;170\n", "", "log-row-hides-pulse"},
		{"a second table", pressureHead + "2027-01-02T20:00,131,79,66,left,,,\nday;upper;lower;pulse\n2027-01-02;192;112;66\n", "", "log-row-hides"},
		{"a line separator of Unicode", pressureHead + "2027-01-02T20:00,131,79,66,left,,,\u20282027-01-02T21:00,192,112,66,left,,,\n", "", "log-gate-systolic"},
		{"a vertical tab", pressureHead + "2027-01-02T20:00,131,79,66,left,,,\v2027-01-02T21:00,192,112,66,left,,,\n", "", "log-gate-systolic"},
		{"a cell of two lines", pressureHead + "2027-01-02T20:00,131,79,66,left,,\"felt fine\nthen chest pain\",\n", "", "log-danger-sign"},
		{"numbers written apart", pressureHead + "2027-01-02T20:00,131,79,66,left,,1 9 2 over 1 1 2,\n", "", "log-row-hides"},
		{"full-width numbers", pressureHead + "2027-01-02T20:00,131,79,66,left,,１９２／１１２,\n", "", "log-row-hides"},
		{"numbers in words", pressureHead + "2027-01-02T20:00,131,79,66,left,,it was one ninety-two over one twelve,\n", "", "log-row-hides"},
		{"an upper number under another name", head("avg systolic") + row + "192\n", "", "log-row-hides"},
		{"a lower number under another name", "", "at,uid,outcome,hand,heldSeconds,systolic,diastolic,symptoms,told,systolic after,diastolic after\n2027-01-02T20:00,x,completed,,,130,80,,,128,112\n", "log-row-hides-diastolic"},
		{"a sign over two lines", pressureHead + "2027-01-02T20:00,131,79,66,left,,\"chest\npain\",\n", "", "log-danger-sign"},
		{"ends of lines of another kind", strings.ReplaceAll(pressureHead+"2027-01-02T21:00,192,112,66,left,,,\n", "\n", "\u0085"), "", "log-gate-systolic"},
		{"a session's note", "", "at,uid,outcome,hand,heldSeconds,systolic,diastolic,symptoms,told,note\n2027-01-02T20:00,x,completed,,,130,80,,,chest pain\n", "log-danger-sign"},
		{"a session's pulse", "", "at,uid,outcome,hand,heldSeconds,systolic,diastolic,symptoms,told,pulse\n2027-01-02T20:00,x,completed,,,130,80,,,180\n", "log-row-hides-pulse"},
		{"a session's pressure in a note", "", "at,uid,outcome,hand,heldSeconds,systolic,diastolic,symptoms,told,note\n2027-01-02T20:00,x,completed,,,130,80,,,192/112\n", "log-row-hides"},
		{"a session's outcome", "", sessionHead + "2027-01-02T20:00,x,stopped because of chest pain,,,130,80,,\n", "log-danger-sign"},
		{"a session's hand", "", sessionHead + "2027-01-02T20:00,x,stopped,fainted,,130,80,,\n", "log-danger-sign"},
		{"a session's row of tabs", "", sessionHead + "2027-01-02T20:00\tx\tstopped\t\t\t192\t112\tchest pain\n", "log-danger-sign"},
	} {
		if got := logTells(t, x.pressure, x.sessions); !slices.Contains(got, x.want) {
			t.Errorf("%s: %v, want %s", x.why, got, x.want)
		}
	}
	for _, x := range []struct{ why, pressure, sessions string }{
		{"a symptom as a heading, answered no", head("chest pain") + row + "no\n", ""},
		{"the same with a nought", head("chest pain") + row + "0\n", ""},
		{"the same with a dash", head("chest pain") + row + "-\n", ""},
		{"a number of something else", head("stroke volume") + row + "72\n", ""},
		{"irregular heartbeat, normal", head("irregular heartbeat") + row + "normal\n", ""},
		{"an upper number that is a goal", head("systolic goal") + row + "192\n", ""},
		{"a pulse on a walk", head("walking pulse") + row + "150\n", ""},
		{"steps and a weight", head("steps") + row + "9192\n", ""},
		{"a comma in a note", "at,systolic,diastolic,pulse,note\n2027-01-02T21:00,131,79,66,felt well, walked 190 minutes\n", ""},
		{"a session as the page writes it", "", sessionHead + "2027-01-02T20:00,x,completed,left,118.5,130,80,,\n"},
	} {
		for _, rule := range logTells(t, x.pressure, x.sessions) {
			if engine(t).Check.Base.Rule(rule).Tell.Closes() {
				t.Errorf("%s: %s closes training", x.why, rule)
			}
		}
	}
}

// A cell of the symptoms column that denies nothing is one in words that nobody knows. Source: answers that people give to a heading.
func TestAYesUnderSymptomsIsHeard(t *testing.T) {
	for _, s := range []string{"yes", "ja", "Yes.", "1", "2", "+", "?", "!", "*", "a bit", "today", "etwas"} {
		if got := logTells(t, pressureHead+"2027-01-02T20:00,131,79,66,left,,,"+s+"\n", ""); !slices.Contains(got, "log-symptom-unknown") {
			t.Errorf("%q under symptoms tells %v", s, got)
		}
		if got := logTells(t, "", sessionHead+"2027-01-02T20:00,x,completed,,,130,80,"+s+",\n"); !slices.Contains(got, "log-symptom-unknown") {
			t.Errorf("%q under a session's symptoms tells %v", s, got)
		}
	}
	for _, s := range []string{"no", "none", "-", "–", "0", "nil", "keine", "nein", "ok", "all good", "alles gut", "nothing", "no symptoms", "keine Beschwerden", "/"} {
		if got := logTells(t, pressureHead+"2027-01-02T20:00,131,79,66,left,,,"+s+"\n", ""); slices.Contains(got, "log-symptom-unknown") {
			t.Errorf("%q under symptoms tells %v", s, got)
		}
	}
}

// Signs in forms that hide them from a plain search, denials that are taken back, and notes beside them that harm nobody.
func TestNotesThatHideASign(t *testing.T) {
	for _, s := range []string{"no chest pain yesterday, today yes", "no chest pain but came back later", "no chest pain until 3pm then", "chestpain", "ｃｈｅｓｔ ｐａｉｎ", "chest pa\u0131n", "chest\u00adpain", "che\u200bst pain", "сhest раin",
		"syncope", "SOB", "pressure behind my breastbone", "jaw pain", "ambulance came", "dead arm", "couldnt get air", "husband says I was out for a minute", "Kieferschmerzen", "der Notarzt kam", "keine Brustschmerzen gestern, heute ja", "last time no chest pain, now it is here", "no chest pain relief"} {
		if got := logTells(t, pressureHead+"2027-01-02T20:00,131,79,66,left,,\""+s+"\",\n", ""); !slices.Contains(got, "log-danger-sign") {
			t.Errorf("%q tells %v", s, got)
		}
	}
	for _, s := range []string{"no chest pain", "no chest pain, came back from a walk", "no chest pain. Yes to more walking", "no chest pain, spring is here", "gardening", "legs tired", "no chest pain, headache came back", "no syncope", "no jaw pain", "legs felt dead after stairs", "out for a walk", "no ambulance", "no SOB",
		"one set over twelve minutes", "came back late", "keine Brustschmerzen", "1 of 2 done"} {
		for _, rule := range logTells(t, pressureHead+"2027-01-02T20:00,131,79,66,left,,\""+s+"\",\n", "") {
			if engine(t).Check.Base.Rule(rule).Tell.Closes() {
				t.Errorf("%q: %s closes training", strings.ToLower(s), rule)
			}
		}
	}
}
