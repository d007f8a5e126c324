package cli

import (
	"cmp"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/followup"
	"isocue.example/compiler/unit"
)

// waysOn are the commands with which a coach can go on, ready for a shell.
func waysOn(f progress.Followed, fl progressFlags, standard []string) (out []followup.Command) {
	if f.Plan == nil {
		return []followup.Command{{Note: "name the plan with --plan to see how to go on"}}
	}
	w := ways{f: f, fl: fl, standard: standard}
	again := w.compile(w.protocols(), "--previous", fl.plan)
	switch f.Next.Step {
	case progress.Wait:
		return []followup.Command{
			{Note: "when the clearance stands in the record, this compiles again; until then it refuses:", Run: again},
			{Note: "or end the programme:", Run: join("isocue", "compile", "--previous", fl.plan, "--stop", f.At.Date().String(), "--pack", w.pack())},
		}
	case progress.StepBack:
		return w.stepBack()
	case progress.Remeasure:
		return []followup.Command{{Note: "measure, add the entry to the record, ask the symptom questions and take two readings; then:", Run: again}}
	case progress.Finish:
		return w.finish()
	}
	if f.Next.Newer {
		return []followup.Command{{Note: "compile with the newer measurement:", Run: again}}
	}
	return []followup.Command{{Note: "nothing needs to be compiled; after a change of the record:", Run: again}}
}

type ways struct {
	f        progress.Followed
	fl       progressFlags
	standard []string
}

// compile is a compile of the client's protocols with the logs, so that what they tell still counts.
func (w ways) compile(protocols []string, more ...string) string {
	words := append([]string{"isocue", "compile"}, protocols...)
	words = append(words, "--client", w.fl.client)
	words = append(words, more...)
	if w.fl.log != "" {
		words = append(words, "--log", w.fl.log)
	}
	if w.fl.sessions != "" {
		words = append(words, "--sessions", w.fl.sessions)
	}
	return join(append(words, "--pack", w.pack())...)
}

// pack is the folder of the client's pack: that of the plan.
func (w ways) pack() string {
	if i := strings.LastIndexAny(w.fl.plan, `/\`); i > 0 {
		return w.fl.plan[:i]
	}
	return cmp.Or(map[bool]string{true: "."}[w.fl.plan != ""], w.f.Client)
}

// protocols are those of the plan, as a command names them: a standard one by its id, another by its file.
func (w ways) protocols() (out []string) {
	for _, s := range w.f.Plan.Sessions {
		name := s.Protocol
		if !slices.Contains(w.standard, name) {
			name = w.file(name)
		}
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// file is where a protocol of the clinic's own stands. A plan says what it was compiled from and not where that was: so it is looked
// for here, in the folder of protocols here, and in that of the clinic's folder around the plan; else it is a file of its name here.
func (w ways) file(id string) string {
	packs := filepath.Dir(filepath.Dir(w.fl.plan))
	for _, dir := range []string{"", "protocols", filepath.Join(packs, "protocols"), filepath.Join(filepath.Dir(packs), "protocols")} {
		for _, ending := range []string{".cue", ".yaml", ".yml", ".json"} {
			path := filepath.Join(dir, id+ending)
			if st, err := os.Stat(path); err == nil && st.Mode().IsRegular() {
				return path
			}
		}
	}
	return id + ".cue"
}

func (w ways) stepBack() (out []followup.Command) {
	name := "ours"
	for _, s := range w.f.Plan.Sessions {
		if w.f.Plan.Kinds[s.Kind].Modality == record.Handgrip {
			name = s.Protocol
		}
	}
	from, lighter := w.file(name), name+"-lighter.cue"
	if !slices.Contains(w.standard, name) {
		lighter = name + "-lighter" + filepath.Ext(from)
	}
	var back []string
	for _, p := range w.protocols() {
		if p == name || p == from {
			p = lighter
		}
		back = append(back, p)
	}
	note := "a protocol has one share for both hands; where both should be lighter, copy it, give the copy a lower load and the next revision:"
	if b := w.f.Next.Back; b == nil {
		note = "copy the protocol, give the copy a lower load and the next revision:"
	}
	copied := followup.Command{Note: note, Run: "cp " + join(from, lighter)}
	if slices.Contains(w.standard, name) {
		copied.Run = join("isocue", "protocols", name) + " > " + join(lighter)
	}
	return []followup.Command{copied, {Note: "then judge and compile it:", Run: w.compile(back, "--previous", w.fl.plan)}}
}

// finish lists what may follow a course; the coach chooses.
func (w ways) finish() (out []followup.Command) {
	monday := w.f.At.Date() + 1
	for monday.Weekday() != 1 {
		monday++
	}
	done := map[record.Modality]bool{}
	first := ""
	for _, s := range w.f.Plan.Sessions {
		done[w.f.Plan.Kinds[s.Kind].Modality] = true
		first = cmp.Or(first, s.Protocol)
	}
	start := func(p string) string { return w.start(p, monday) }
	from, upkeep := w.file(first), "maintenance.cue"
	if !slices.Contains(w.standard, first) {
		upkeep = "maintenance" + filepath.Ext(from)
	}
	source := followup.Command{Note: "maintenance, once a week: copy the protocol, write phase: maintenance and daysPerWeek: 1 into it, with another id:", Run: "cp " + join(from, upkeep)}
	if slices.Contains(w.standard, first) {
		source.Run = join("isocue", "protocols", first) + " > maintenance.cue"
	}
	out = append(out, source, followup.Command{Note: "then:", Run: start(upkeep)})
	for _, x := range []struct {
		m        record.Modality
		protocol string
	}{{record.SlowBreathing, "slow-breathing-even"}, {record.Handgrip, "handgrip-alternating"}} {
		if !done[x.m] && slices.Contains(w.standard, x.protocol) {
			out = append(out, followup.Command{Note: "another modality:", Run: start(x.protocol)})
			break
		}
	}
	letter := []string{"isocue", "progress", "--client", w.fl.client}
	if w.fl.log != "" {
		letter = append(letter, "--log", w.fl.log)
	}
	if w.fl.sessions != "" {
		letter = append(letter, "--sessions", w.fl.sessions)
	}
	return append(out, followup.Command{Note: "the end of the programme, with a letter to the prescriber:", Run: join(append(letter, "--plan", w.fl.plan, "--letter", w.f.Client+"-letter.html")...)})
}

// start is a course behind the one that has ended. It follows its plan, so that the number of its sheet is higher: the client goes by
// the higher number.
func (w ways) start(protocol string, d unit.Date) string {
	return w.compile([]string{protocol}, "--previous", w.fl.plan, "--start", d.String())
}

// join quotes words for a shell where they need it.
func join(words ...string) string {
	out := make([]string, len(words))
	for i, s := range words {
		if s == "" || strings.Trim(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-./:\\") != "" {
			s = "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
		}
		out[i] = s
	}
	return strings.Join(out, " ")
}
