package compiler

import (
	"testing"

	"isocue.example/compiler/say"
)

// What people write in German, by what it is. It is written down apart from the table. Source: common practice for the words; the
// danger signs are those of the caution that every German output carries.
func TestGermanAsPeopleWriteIt(t *testing.T) {
	l, all := lexicon(t)
	for id, texts := range map[string][]string{
		"chest-pain": {"Brustschmerz", "Brustschmerzen beim Drücken", "Schmerzen in der Brust", "Schmerz oder Druck in der Brust", "Druck auf der Brust", "Druckgefühl in der linken Brust", "die Brust tut weh",
			"die Brust tat weh", "Engegefühl in der Brust", "Enge in der Brust", "Stechen in der Brust", "stechende Schmerzen links in der Brust", "Herzschmerzen", "Angina Pectoris", "Beklemmungsgefühl", "Ziehen in der Brust", "Verdacht auf Herzinfarkt",
			"hatte keine Luft und Brustschmerz", "konnte nicht schlafen wegen Brustschmerz", "nicht gut. Brustschmerz", "Brust: Schmerzen"},
		"faint": {"Ohnmacht", "ohnmächtig geworden", "Ohnmachtsanfall", "bewusstlos", "bewußtlos", "war kurz bewusstlos", "Bewusstsein verloren", "das Bewusstsein verlor ich kurz", "umgekippt",
			"bin zusammengebrochen", "Kreislaufkollaps", "mir wurde schwarz vor Augen", "es wurde mir schwarz vor den Augen", "Kollaps", "Schwächeanfall", "Bewusstlosigkeit", "umgefallen"},
		"breathlessness": {"Atemnot", "plötzliche Atemnot", "Luftnot", "kurzatmig", "Kurzatmigkeit", "bekomme keine Luft", "bekam keine Luft mehr", "kriege schlecht Luft", "kaum Luft bekommen", "nicht genug Luft", "konnte nicht atmen", "schwer geatmet",
			"außer Atem", "Atembeschwerden", "Mühe beim Atmen", "nicht mehr richtig Luft bekommen"},
		"weakness": {"Lähmung", "Laehmung im Arm", "gelähmt", "Schwäche im rechten Arm", "Schwäche", "Arm schwach", "Bein war schwach", "halbseitig taub", "taub auf einer Seite", "Taubheit im Gesicht", "Arm taub", "tauber Arm", "taubes Gefühl im linken Bein",
			"Gesichtslähmung", "Mundwinkel hängt", "hängender Mundwinkel", "konnte den Arm nicht bewegen", "kein Gefühl im Arm", "Schlaganfall", "Taubheitsgefühl in der Hand", "schwach oder taub auf einer Seite"},
		"trouble-speaking": {"Sprachstörung", "Sprachstoerungen", "konnte nicht sprechen", "konnte nicht mehr reden", "lallen", "hat gelallt", "Mühe beim Sprechen", "undeutliche Sprache", "verwaschene Sprache", "Probleme beim Sprechen", "Wortfindungsstörungen", "Worte nicht gefunden"},
		"trouble-seeing": {"Sehstörung", "Sehstoerungen", "Sehstorung", "verschwommen gesehen", "sehe verschwommen", "verschwommenes Sehen", "sehe doppelt", "Doppelbilder", "sehe nichts mehr", "konnte nichts sehen", "plötzlich nichts mehr sehen", "Flimmern vor den Augen",
			"Mühe beim Sehen", "auf einem Auge blind", "unscharf gesehen", "schlecht gesehen"},
		"confusion":         {"verwirrt", "Verwirrtheit", "war verwirrt", "desorientiert", "wusste nicht wo ich bin"},
		"severe-headache":   {"starke Kopfschmerzen", "sehr starker Kopfschmerz", "plötzlich Kopfschmerzen", "heftiges Kopfweh", "Kopfschmerzen so stark wie nie", "schlimmste Kopfschmerzen", "plötzlich sehr starker Kopfschmerz"},
		"coughing-blood":    {"Blut gehustet", "Bluthusten", "blutiger Auswurf", "habe Blut gespuckt"},
		"dizzy":             {"schwindlig", "schwindelig", "Schwindel", "mir ist schwindlig", "mir war schwindelig", "Schwindelgefühl", "Drehschwindel", "benommen", "Kreislaufprobleme", "wackelig auf den Beinen", "alles dreht sich"},
		"near-faint":        {"bin fast ohnmächtig geworden", "fast umgekippt", "kurz vorm Umfallen"},
		"palpitations":      {"Herzklopfen", "Herzrasen", "Herzstolpern", "rasendes Herz", "rasendes oder ungleiches Herz", "Herz rast", "Herz schlägt unregelmäßig", "unregelmässiger Puls", "Vorhofflimmern", "Herzrhythmusstörungen"},
		"headache":          {"Kopfschmerz", "Kopfschmerzen", "Kopfweh", "leichte Kopfschmerzen", "der Kopf tut weh", "Migräne"},
		"sickness":          {"übel", "Übelkeit", "mir ist übel", "uebel", "mir wurde schlecht", "erbrochen", "musste mich übergeben"},
		"tingling":          {"Kribbeln", "es kribbelt", "Kribbeln in den Fingern", "Ameisenlaufen", "Hand eingeschlafen"},
		"hand-trouble":      {"Schmerz in der Hand", "Handschmerzen", "die Hand tut weh", "taube Hand", "taube Finger", "Finger taub", "kalte Hände", "Handgelenk schmerzt", "weiße Finger", "Schmerzen im Unterarm"},
		"ear-trouble":       {"Ohrenschmerzen", "Schmerz im Ohr", "Ohr tut weh", "Knacken im Ohr"},
		"knee-or-back-pain": {"Rückenschmerzen", "Knieschmerzen", "Schmerz in Knie, Hüfte oder Rücken", "Rücken tut weh", "Schmerzen im Rücken", "Kreuzschmerzen", "Hüftschmerzen"},
		"injury":            {"verletzt", "Verletzung am Fuß", "gestürzt", "bin hingefallen", "Sturz", "Arm gebrochen", "verstaucht", "Zerrung", "Nasenbluten", "blutet", "mich geschnitten", "bin gefallen"},
		"danger-sign":       {"Warnzeichen"},
	} {
		for _, x := range texts {
			if !has(l, x, id) {
				found, _ := l.Recognise(x)
				t.Errorf("%q is not read as %s: %v", x, id, found)
			}
		}
	}
	german, _ := say.In("de")
	for _, s := range all {
		if x := german.Page.Symptoms[s.ID]; x != "" && !has(l, x, s.ID) {
			t.Errorf("what the page calls %q is not read as %s", x, s.ID)
		}
	}
}

// A text without a symptom alarms nobody, in a note or in the column of symptoms; one that says that something is not well is
// read by a person.
func TestGermanWithoutASymptom(t *testing.T) {
	l, _ := lexicon(t)
	for text, want := range map[string]bool{
		"": false, "keine": false, "nein": false, "nichts": false, "alles gut": false, "keine Beschwerden": false, "keine Schmerzen": false, "beschwerdefrei": false, "alles ok, keine Beschwerden": false,
		"kein Schwindel, keine Atemnot": false, "weder Schwindel noch Kopfschmerzen": false, "ohne Beschwerden": false, "fühle mich wohl": false, "nichts Besonderes": false, "keine Symptome": false, "unauffällig": false,
		"keine Brustschmerzen oder Atemnot": false, "no symptoms": false, "no pain, feel fine": false,
		"nicht gut": true, "nicht beschwerdefrei": true, "Beschwerden": true, "Schmerzen": true, "not well": true, "müde": false,
		"Luft nicht angehalten": true, "Blutdruck gestern hoch, Husten": true, "ruhig geatmet": true, "mit Coach gesprochen": true, "Batterie der Armmanschette schwach": true, "beinahe schwach": true,
		"herzliche Grüße Druck 130": true, "Hand wunderbar": false, "im August schwarz gestrichen": true, "Blutdruck schwankt": true,
	} {
		found, unknown := l.Recognise(text)
		if len(found) > 0 || unknown != want {
			t.Errorf("%q is read as %v, left to a person: %v, want %v", text, found, unknown, want)
		}
	}
}
