package handout

import (
	"bytes"
	"math"
	"testing"

	audio "github.com/go-audio/wav"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// power is how strong a pitch is in samples, by Goertzel (American Mathematical Monthly 65, 1958), of a full sine wave 1.
func power(samples []int, pitch float64) float64 {
	w := 2 * math.Cos(2*math.Pi*pitch/rate)
	var a, b float64
	for _, v := range samples {
		a, b = float64(v-silence)+w*a-b, a
	}
	n := float64(len(samples))
	return 4 * (a*a + b*b - w*a*b) / (n * n * loudness * loudness)
}

// heard is the samples of a sound, read by somebody else's reader.
func heard(t *testing.T, b []byte) []int {
	t.Helper()
	d := audio.NewDecoder(bytes.NewReader(b))
	if !d.IsValidFile() || d.SampleRate != 8000 || d.NumChans != 1 || d.BitDepth != 8 || d.WavAudioFormat != 1 {
		t.Fatalf("another reader takes it for %d Hz, %d channels, %d bits, format %d", d.SampleRate, d.NumChans, d.BitDepth, d.WavAudioFormat)
	}
	buf, err := d.FullPCMBuffer()
	if err != nil {
		t.Fatal(err)
	}
	return buf.Data
}

// Each tone lies where its phase does, to the sample: before a phase begins its tone is not there, then it is, and no other.
func TestSoundFollowsThePhases(t *testing.T) {
	for _, b := range []record.Breath{{Inhale: 50, Exhale: 50}, {Inhale: 40, Pause: 10, Exhale: 60, Rest: 10}, {Inhale: 25, Pause: 3, Exhale: 35}} {
		k := record.Kind{Steps: []record.Step{{Kind: record.Breathe, Pattern: &b, Count: 7, Seconds: 7 * b.Cycle()}, {Kind: record.Rest, Seconds: 300},
			{Kind: record.Breathe, Pattern: &b, Count: 5, Seconds: 5 * b.Cycle()}, {Kind: record.Sit, Seconds: 13}}}
		for _, s := range k.Steps {
			k.WorkSeconds += s.Seconds
		}
		file, err := Sound(&k)
		if err != nil {
			t.Fatal(err)
		}
		samples := heard(t, file)
		if want := int(k.WorkSeconds)*800 + 8000; len(samples) != want {
			t.Errorf("%d samples, want %d: the work and a second", len(samples), want)
		}
		pitches := map[string]float64{"in": toneIn, "pause": tonePause, "out": toneOut, "rest": toneRest}
		var now unit.Tenths
		phases := 0
		for _, s := range k.Steps {
			if s.Pattern == nil {
				now += s.Seconds
				continue
			}
			for range s.Count {
				for _, x := range []struct {
					name string
					long unit.Tenths
				}{{"in", b.Inhale}, {"pause", b.Pause}, {"out", b.Exhale}, {"rest", b.Rest}} {
					if x.long == 0 {
						continue
					}
					from := int(now) * 800
					n := min(3200, int(x.long)*800*6/10)
					tone := samples[from : from+n]
					for name, pitch := range pitches {
						if p := power(tone, pitch); n == 3200 && (p > 0.5) != (name == x.name) {
							t.Fatalf("at %s s, where %s begins, the tone of %s has %.2f", now, x.name, name, p)
						}
					}
					if from > 0 && samples[from-1] != silence { // the sample before is still
						t.Fatalf("at %s s the phase before has not ended", now)
					}
					first := from
					for samples[first] == silence {
						first++
					}
					if first-from > 8 { // a sine wave with a soft edge leaves the middle within a millisecond
						t.Fatalf("at %s s the tone is %d samples late", now, first-from)
					}
					now += x.long
					phases++
				}
			}
		}
		if phases < 24 {
			t.Errorf("%d phases were heard", phases)
		}
		again, err := Sound(&k)
		if err != nil || !bytes.Equal(again, file) {
			t.Error("the same kind gave another sound")
		}
	}
}

// Squeezes and squats need eyes, and breaths at one's own pace have no phases: they have no sound.
func TestSoundIsForPacedBreathing(t *testing.T) {
	in := sample(t)
	k := in.Plan.Kinds["a"]
	if _, err := Sound(&k); err == nil {
		t.Error("squeezes have a sound")
	}
	own := record.Kind{WorkSeconds: 600, Steps: []record.Step{{Kind: record.Breathe, Seconds: 600, Count: 30}}}
	if _, err := Sound(&own); err == nil {
		t.Error("breaths without phases have a sound")
	}
	files, err := Sounds(in)
	if err != nil || len(files) != 1 || files[0].Name != "sound-breath.wav" {
		t.Errorf("%d files, %v, want sound-breath.wav alone", len(files), err)
	}
	wrong := in.Plan.Kinds["b"]
	wrong.WorkSeconds++
	if _, err := Sound(&wrong); err == nil {
		t.Error("steps that do not sum to the work have a sound")
	}
}
