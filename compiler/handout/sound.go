package handout

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// File is one file of a hand-out.
type File struct {
	Name string
	Data []byte
}

// rate is how many samples a second a sound has: whole samples a tenth of a second, and twice the highest tone many times over.
const rate = 8000

// A tone is short and stands at the beginning of its phase, so that the phases can be told with closed eyes, one pitch each.
// The pitches lie where hearing lasts longest; equal temperament, A4 = 440 Hz (ISO 16).
const (
	toneIn, tonePause, toneOut, toneRest = 659.26, 554.37, 440.00, 329.63 // E5, C sharp 5, A4, E4
	toneSet                              = 523.25                         // C5, twice: a rest between two sets begins
	toneEnd                              = 261.63                         // C4, three times
	toneSeconds                          = 0.45
)

// Sounds makes a sound for each way in which a protocol of paced breathing is trained. There is none for squeezes and squats,
// where eyes are needed, and none for breaths at the client's own pace, which have no phases.
func Sounds(in Input) ([]File, error) {
	now, err := wall(in.Plan)
	if err != nil {
		return nil, err
	}
	if in.Plan.Stopped != 0 {
		return nil, nil
	}
	var out []File
	made := map[string]bool{}
	sessions := coming(in.Plan, now)
	names := soundNames(in.Plan, sessions)
	for _, s := range sessions {
		name := names[s.Kind]
		if name == "" || made[name] {
			continue
		}
		made[name] = true
		k := in.Plan.Kinds[s.Kind]
		b, err := Sound(&k)
		if err != nil {
			return nil, fmt.Errorf("kind %q: %w", s.Kind, err)
		}
		out = append(out, File{name, b})
	}
	return out, nil
}

// soundNames names the sound of each kind; a kind without one is not there. What a protocol comes to last, its main course,
// has the plain name; another way of it is told by its minutes.
func soundNames(p *record.Plan, sessions []*record.Session) map[string]string {
	out := map[string]string{}
	all := groups(p, sessions)
	for i, g := range all {
		k := p.Kinds[g.uses[0].kind]
		if !paced(&k) {
			continue
		}
		plain := true
		for _, later := range all[i+1:] {
			plain = plain && later.protocol != g.protocol
		}
		name := "sound-" + g.protocol
		if !plain {
			name += fmt.Sprintf("-%d-min", int((k.WorkSeconds+599)/600))
		}
		for _, other := range out { // two ways of the same length
			if other == name+".wav" {
				name += fmt.Sprintf("-stage-%d", k.Stage+1)
			}
		}
		for _, u := range g.uses {
			out[u.kind] = name + ".wav"
		}
	}
	return out
}

// paced says whether every breath of a kind has its phases.
func paced(k *record.Kind) bool {
	breaths := 0
	for _, s := range k.Steps {
		switch s.Kind {
		case record.Squeeze, record.Squat:
			return false
		case record.Breathe:
			if s.Pattern == nil || s.Count < 1 {
				return false
			}
			breaths++
		}
	}
	return breaths > 0
}

// Sound is the whole session of a kind as a WAV file: PCM, 8 bits, mono, 8000 samples a second. It is as long as the work, to
// the sample, and a tail of one second for the last tones.
func Sound(k *record.Kind) ([]byte, error) {
	if !paced(k) {
		return nil, errors.New("it has breaths without phases, or squeezes or squats, allowed: paced breathing")
	}
	samples := bytes.Repeat([]byte{silence}, at(k.WorkSeconds)+rate)
	var now unit.Tenths
	for i, s := range k.Steps {
		if s.Kind != record.Breathe {
			if i > 0 {
				tones(samples, now, toneSet, 2)
			}
			now += s.Seconds
			continue
		}
		b := s.Pattern
		for range s.Count {
			for _, x := range []struct {
				pitch float64
				long  unit.Tenths
			}{{toneIn, b.Inhale}, {tonePause, b.Pause}, {toneOut, b.Exhale}, {toneRest, b.Rest}} {
				if x.long > 0 {
					tone(samples, at(now), x.pitch, min(toneSeconds, float64(x.long)/15))
					now += x.long
				}
			}
		}
	}
	if now != k.WorkSeconds {
		return nil, fmt.Errorf("its steps take %s s, allowed: its work of %s s", now, k.WorkSeconds)
	}
	tones(samples, now, toneEnd, 3)
	return wav(samples), nil
}

const (
	silence  = 128 // 8-bit samples are without sign
	loudness = 88
	edge     = 0.02 // seconds in which a tone comes and goes, so that it does not click
)

// at is the sample at a moment; tenths of a second are whole samples.
func at(t unit.Tenths) int { return int(t) * rate / 10 }

func tones(samples []byte, now unit.Tenths, pitch float64, n int) {
	for i := range n {
		tone(samples, at(now)+i*rate*3/10, pitch, 0.2)
	}
}

// tone writes one tone, whose edges are soft.
func tone(samples []byte, from int, pitch, seconds float64) {
	n := int(seconds * rate)
	for i := range n {
		t, left := float64(i)/rate, float64(n-i)/rate
		v := loudness * math.Sin(2*math.Pi*pitch*t) * min(1, t/edge, left/edge)
		if from+i < len(samples) {
			samples[from+i] = byte(silence + int(math.Round(v)))
		}
	}
}

// madeBy is a chunk of a RIFF file that names the program: isocue's own files are told from others' by it.
const madeBy = "LIST\x14\x00\x00\x00INFOISFT\x07\x00\x00\x00isocue\x00\x00"

// wav puts the header of a RIFF file with PCM samples before them.
func wav(samples []byte) []byte {
	var b bytes.Buffer
	b.Grow(44 + len(madeBy) + len(samples) + len(samples)%2)
	le := func(v any) { binary.Write(&b, binary.LittleEndian, v) } // a buffer takes everything
	b.WriteString("RIFF")
	le(uint32(36 + len(madeBy) + len(samples) + len(samples)%2))
	b.WriteString("WAVEfmt ")
	le(uint32(16))
	le(uint16(1)) // PCM
	le(uint16(1)) // mono
	le(uint32(rate))
	le(uint32(rate)) // bytes a second
	le(uint16(1))    // bytes a sample
	le(uint16(8))    // bits a sample
	b.WriteString(madeBy)
	b.WriteString("data")
	le(uint32(len(samples)))
	b.Write(samples)
	if len(samples)%2 == 1 { // a chunk ends on an even byte
		b.WriteByte(silence)
	}
	return b.Bytes()
}
