package clinic

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
)

// scene is a front before a folder with the demo client's record.
func scene(t *testing.T) (f Front, eng *compiler.Compiler, record string, now time.Time) {
	t.Helper()
	eng, err := compiler.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	src, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "client.yaml")
	if err := os.WriteFile(name, src, 0o600); err != nil {
		t.Fatal(err)
	}
	f = Front{Engine: func() *compiler.Compiler { return eng }, In: strings.NewReader(""), Say: func(string, ...any) {}}
	return f, eng, name, time.Date(2027, 1, 8, 9, 0, 0, 0, time.UTC)
}

// Every kind of entry, typed as somebody types it, is accepted, written, and read back as what it was said to be.
func TestEnterEveryKind(t *testing.T) {
	f, eng, name, now := scene(t)
	type opts map[string]string
	typed := map[record.Happening]diary.Typed{
		record.Ill: {Words: []string{"fever"}}, record.Well: {Date: "yesterday"}, record.Felt: {Words: []string{"dizzy", "on", "standing"}}, record.Asked: {Words: []string{"no", "ill-now=yes"}},
		record.Read: {Words: []string{"138/84/70", "left"}, Time: "7:30"}, record.GripIs: {Words: []string{"right", "38,5", "40"}, Options: opts{"with": "home-gauge"}},
		record.MouthIs: {Words: []string{"78", "82", "cmH2O", "static"}}, record.SquatIs: {Words: []string{"135/38/82", "125/44/90", "volitional"}}, record.WalkingIs: {Words: []string{"90"}},
		record.HasDevice: {Words: []string{"grip", "second", "kgf", "1"}, Options: opts{"instead": "home-gauge"}}, record.HasMedicine: {Words: []string{"ramipril", "started"}},
		record.Begins: {Words: []string{"carpal-tunnel", "left"}, Date: "2027-01-04"}, record.Over: {Words: []string{"carpal-tunnel", "left"}, Date: "2027-01-06"},
		record.Cleared: {Words: []string{"age", "handgrip"}, Options: opts{"signed": "R. Okafor", "role": "physician", "until": "2027-12-01"}},
		record.Limited: {Words: []string{"150/95"}, Options: opts{"signed": "R. Okafor"}}, record.Moved: {Words: []string{"Europe/Paris"}, Options: opts{"emergency": "112"}},
		record.HoursAre: {Words: []string{"mon,wed", "7:00-8:00"}}, record.ContactsAre: {Words: []string{"coach", "+351 555 0100"}}, record.Paused: {Words: []string{"2027-02-01"}, Options: opts{"until": "2027-02-07"}},
		record.Resumed: {}, record.Lighter: {Words: []string{"handgrip-alternating"}}, record.CourseIs: {Words: []string{"handgrip-maintenance", "protocols/ours.cue"}, Options: opts{"start": "2027-03-08", "replaces": "true"}},
		record.Stop: {Date: "2027-03-01"}, record.DidTrain: {Words: []string{"handgrip-alternating", "done"}, Time: "07:00"}, record.Taught: {Words: []string{"handgrip"}},
		record.Told: {Words: []string{"client", "reached"}, Options: opts{"entries": "e0"}}, record.Understood: {Words: []string{"e0", "nothing"}}, record.Void: {Words: []string{"e0", "the", "other", "client"}},
	}
	said := map[string]bool{}
	for i, what := range record.Happenings {
		x := typed[what]
		x.What, x.By, x.ID = string(what), "L. Brandt", fmt.Sprintf("e%d", i)
		e, err := f.Enter(eng, name, x, now)
		if err != nil || e.Entry == nil || finding.Rejected(e.Findings) {
			t.Fatalf("%s: %v, %+v", what, err, e)
		}
		if s := diary.Sentence(e.Entry); s == "" || said[s] || e.Entry.What != what {
			t.Errorf("%s is said %q", what, s)
		} else {
			said[s] = true
		}
	}
	back, err := eng.Reader.Path(filepath.Join(filepath.Dir(name), "plover-12.diary.yaml"))
	if err != nil || len(back.Findings) > 0 || len(back.Diary.Entries) != len(record.Happenings) {
		t.Fatalf("%v, %v", err, back)
	}
	for i, e := range back.Diary.Entries {
		if e.ID != fmt.Sprintf("e%d", i) || e.What != record.Happenings[i] || e.By != "L. Brandt" {
			t.Errorf("%d: %+v", i, e.Entry)
		}
	}
	if d := diary.Of(back.Diary.Of()); len(d.Voided) != 1 || len(d.Live()) != len(record.Happenings)-2 {
		t.Errorf("%d voided, %d live", len(d.Voided), len(d.Live()))
	}
}

// Many enter at once: every entry that was reported is there, whole, once.
func TestEnterAtOnce(t *testing.T) {
	f, eng, name, now := scene(t)
	var mu sync.Mutex
	var ids []string
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for range 10 {
				e, err := f.Enter(eng, name, diary.Typed{What: "symptom", Words: []string{"tired"}, By: "L. Brandt"}, now)
				if err != nil || finding.Rejected(e.Findings) {
					t.Error(err)
					return
				}
				mu.Lock()
				ids = append(ids, e.Entry.ID)
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	back, err := eng.Reader.Path(filepath.Join(filepath.Dir(name), "plover-12.diary.yaml"))
	if err != nil || len(back.Findings) > 0 || len(back.Diary.Entries) != 40 {
		t.Fatalf("%v, %v", err, back)
	}
	for _, e := range back.Diary.Entries {
		if !slices.Contains(ids, e.ID) {
			t.Errorf("%s is there and was not reported", e.ID)
		}
	}
}

// A record that cannot be read stops nobody, as long as somebody can tell whose it is; what is judged is what the diary says.
func TestEnterBesideAFault(t *testing.T) {
	f, eng, name, now := scene(t)
	sound, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		record string
		told   string // "" where it is written
		why    string
	}{
		{strings.Replace(string(sound), "dominantHand: right", "dominantHand: rigt", 1), "", "a word that is none"},
		{strings.Replace(string(sound), "sex:", "sexx:", 1), "", "an unknown field"},
		{strings.Replace(string(sound), "born:", "\tborn:", 1), "", "no YAML"},
		{strings.Replace(string(sound), "zone:", "zone: [", 1), "", "no YAML, and no zone"},
		{strings.Replace(string(sound), "id: plover-12", "id: ../plover", 1), "cannot be read", "an id that leads elsewhere"},
		{strings.Replace(string(sound), "id: plover-12", "", 1), "cannot be read", "no id"},
		{"modality: handgrip\n", "allowed here: a client record", "another file"},
	} {
		if c.record == string(sound) {
			t.Fatalf("%s: nothing was changed", c.why)
		}
		if err := os.WriteFile(name, []byte(c.record), 0o600); err != nil {
			t.Fatal(err)
		}
		e, err := f.Enter(eng, name, diary.Typed{What: "ill", Words: []string{"fever", c.why}, By: "L. Brandt"}, now)
		switch {
		case c.told == "" && (err != nil || finding.Rejected(e.Findings) || !strings.HasSuffix(e.Diary, "plover-12.diary.yaml")):
			t.Errorf("%s: %v, %+v", c.why, err, e)
		case c.told != "" && (err == nil || !strings.Contains(err.Error(), c.told)):
			t.Errorf("%s: %v", c.why, err)
		}
	}
}
