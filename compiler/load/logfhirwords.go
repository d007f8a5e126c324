package load

import (
	"slices"
	"strings"
)

// The words of an Observation's name, in the languages in which servers and apps write them most.
var (
	systolicWords  = strings.Fields("systol* sistol* sistól* sys sbp bpsys")
	diastolicWords = strings.Fields("diastol* diastól* dia dbp bpdia")
	panelWords     = strings.Fields("bp nibp blutdruck* blodtryk* blodtryck* bloeddruk* verenpaine* bloodpressure")
	pulseWords     = strings.Fields("pulse puls pulso pouls polso pulsrate heartrate herzfrequenz* ruhepuls hr")
	derivedWords   = strings.Fields("mean average averaged avg max maximum maximal min minimum minimal highest lowest peak mittel* median")
	effortWords    = strings.Fields("exercise* exertion* workout* treadmill running cycling activity active belastung* training sport*")
	fastWords      = strings.Fields("max maximum maximal peak recovery highest")
	standingWords  = strings.Fields("standing upright stehend stehen")
	lyingWords     = strings.Fields("supine lying recumbent liegend liegen prone")
	notMeasured    = strings.Fields("goal* target* ziel* planned threshold")
	notOneself     = strings.Fields("fetal foetal fetus foetus")
	elsewhere      = strings.Fields("oxygen* o2 po2 pao2 pco2 paco2 co2 carbon ocular intraocular eye iop venous pulmonary intracranial airway inspiratory expiratory wedge atrial ventricular sauerstoff* augeninnen* barometric")
	others         = strings.Fields(`saturation oximet* spo2 respir* breath* atem* weight gewicht* height size größe bmi mass waist circumference temperature temperatur* temp glucose blutzucker
		sugar step steps schritte schritt* variability hrv wave distance energy calories calorie kcal cadence sleep floors flights score cholesterol hemoglobin haemoglobin creatinine potassium sodium
		pain medication medicine dose duration`)
	arterialPairs = [][]string{{"blood", "pressure"}, {"arterial", "pressure"}, {"presión", "arterial"}, {"presion", "arterial"}, {"pressão", "arterial"}, {"pressao", "arterial"},
		{"tensión", "arterial"}, {"tension", "arterial"}, {"tensão", "arterial"}, {"pression", "artérielle"}, {"tension", "artérielle"}, {"pressione", "arteriosa"}, {"pressione", "sanguigna"}}
	pulsePairs = [][]string{{"heart", "rate"}, {"heart", "beat"}, {"heart", "beats"}, {"frecuencia", "cardíaca"}, {"frecuencia", "cardiaca"}, {"fréquence", "cardiaque"},
		{"frequência", "cardíaca"}, {"frequenza", "cardiaca"}}
)

// follow says whether one of the pairs of words stands in a name, one word behind the other.
func follow(words []string, pairs ...[]string) bool {
	return slices.ContainsFunc(pairs, func(p []string) bool {
		for i := range words {
			if len(words)-i >= len(p) && slices.Equal(words[i:i+len(p)], p) {
				return true
			}
		}
		return false
	})
}

// inWords is what a name says in words.
func inWords(words []string) (m meaning) {
	upper := named(words, systolicWords) || follow(words, []string{"bp", "s"})
	lower := named(words, diastolicWords) || follow(words, []string{"bp", "d"})
	arterial := named(words, panelWords) || follow(words, arterialPairs...)
	pulse := named(words, pulseWords) || follow(words, pulsePairs...)
	m = meaning{derived: named(words, derivedWords) || follow(words, []string{"24", "hour"}), exercise: named(words, effortWords),
		standing: named(words, standingWords), lying: named(words, lyingWords)}
	switch {
	case named(words, notMeasured), named(words, notOneself):
		m.about = otherThing
	case named(words, elsewhere) && (!upper && !lower || named(words, []string{"pulmonary", "ventricular", "venous"})), follow(words, []string{"pulse", "pressure"}):
		m.about = otherPressure
	case upper && lower:
		m.about = aPanel
	case upper:
		m.about = aSystolic
	case lower:
		m.about = aDiastolic
	case arterial && named(words, []string{"mean", "map"}):
		m.about, m.derived = aMean, false
	case arterial && !named(words, []string{"medication", "medicine", "drug", "cuff", "size"}):
		m.about = aPanel
	case named(words, others):
		m.about = otherThing
	case pulse && (m.exercise || named(words, fastWords)): // a heart at work is no pulse at rest
		m.about = otherThing
	case pulse:
		m.about, m.derived = aPulse, false
	}
	return m
}
