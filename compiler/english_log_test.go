package compiler

import "testing"

// What people write in English, by what it is, with apostrophes and plurals as they come. It is written down apart from the
// table. Source: common practice for the words; the danger signs are those of the caution that every output carries.
func TestEnglishAsPeopleWriteIt(t *testing.T) {
	l, _ := lexicon(t)
	for id, texts := range map[string][]string{
		"chest-pain": {"chest pains", "pains in chest", "crushing chest pain", "crushing chest", "angina", "angina attack", "burning in my chest", "heaviness in chest", "pressure on chest", "chest felt tight",
			"a tight feeling in the chest", "my chest hurts", "chest was hurting", "chest discomfort", "aching chest", "Chest Pains, left side", "heart pain"},
		"faint":      {"black out", "blacked-out", "had a blackout", "passing out", "collapse", "seizure", "convulsions", "had a fit", "lost consciousness"},
		"near-faint": {"almost fainted", "nearly passed out", "felt faint", "near fainting"},
		"breathlessness": {"can't breathe", "can’t breathe", "cant breathe", "couldn't breathe", "could not breathe", "out of breath", "gasping", "difficulty breathing", "difficulty in breathing", "trouble with breathing",
			"couldn't get my breath", "couldn't get enough air", "not enough air", "hard to breathe", "struggled breathing", "breathlessness"},
		"weakness": {"arm went numb", "my arm is numb", "numb on the left side", "left side numb", "face numb", "numb lips", "leg gave way", "mouth drooping", "drooping face", "face drooped", "paralysed arm",
			"cannot move arm", "can't move my arm", "could not lift my arm", "TIA", "mini stroke", "weak on the right side"},
		"trouble-speaking": {"slurring", "slurred my words", "couldn't speak", "can't speak", "cant speak", "could not speak", "words came out wrong", "difficulty speaking", "trouble talking"},
		"trouble-seeing":   {"can't see", "couldn't see", "could not see out of one eye", "eyesight went", "lost my sight", "sees double", "seeing double", "went blind", "blurring"},
		"confusion":        {"disoriented", "confusion", "was confusing things"},
		"severe-headache":  {"thunderclap headache", "sudden bad headache", "terrible headache", "worst headache of my life", "severe headaches", "unbearable pain in my head", "sudden migraine"},
		"coughing-blood":   {"coughing up blood", "coughed some blood", "cough blood", "coughed up some blood", "spat blood", "blood when coughing", "blood in my phlegm", "bloody sputum"},
		"dizzy":            {"room spinning", "woozy", "dizzy spells"},
		"palpitations":     {"heart fluttering", "heart skipped a beat", "missed beats", "heart was thumping"},
		"injury":           {"nosebleed", "bled from the nose"},
	} {
		for _, x := range texts {
			if !has(l, x, id) {
				t.Errorf("%q is not read as %s", x, id)
			}
		}
	}
}

// A text without a danger sign calls nobody: what is denied, what is of another part of the body, and effort that is just effort.
func TestEnglishWithoutADangerSign(t *testing.T) {
	l, _ := lexicon(t)
	for _, x := range []string{"no chest pains", "no chest pain or trouble breathing", "no trouble breathing", "chest fine, back pain", "chest is clear but knee pain", "knee pain", "numb fingers", "hand numb", "headache", "a bit of a headache",
		"breathing hard on the hill", "blood pressure high, cough", "talked all the way", "legs tired", "arm tired", "hand hurts", "no numb arm", "without dizziness", "stairs were hard", "could see the coach on Friday",
		"cannot come on Monday", "walked to the sight", "hard work, breathing fine"} {
		found, _ := l.Recognise(x)
		for _, s := range found {
			if s.Grave {
				t.Errorf("%q is read as %s", x, s.ID)
			}
		}
	}
}
