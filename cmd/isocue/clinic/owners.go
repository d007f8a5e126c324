package clinic

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
)

// holder is a client record that was found, and its id; "" where that cannot be told.
type holder struct {
	file, id string
	row      bool // of a spreadsheet, whose name is nobody's

	log, sessions string // that were named for this client
}

// belongings is what stands beside a record and is its client's.
type belongings struct {
	log, sessions, diary string            // "" where there is none
	copies               []string          // of the diary, under names that it does not have; each is trouble too
	named                bool              // the logs were named for this client: what stands under their names is not read
	trouble              []finding.Finding // logs and diaries that seem to be this client's and are not called so
}

// registry is what the names of logs are held against.
type registry struct {
	ids, stems map[string]string   // by folder and id, or folder and name of the file: the record
	elsewhere  map[string]string   // by id, wherever the record stands
	compact    map[string][]string // by id without hyphens
	idOf       map[string]string   // by record
	list       []string            // the ids in their order
}

func newRegistry(all []holder) *registry {
	k := &registry{map[string]string{}, map[string]string{}, map[string]string{}, map[string][]string{}, map[string]string{}, nil}
	for _, h := range all {
		dir := filepath.Dir(h.file)
		k.idOf[h.file] = h.id
		if h.id != "" {
			if k.elsewhere[h.id] == "" {
				c := compact(h.id)
				k.compact[c] = append(k.compact[c], h.file)
			}
			k.elsewhere[h.id] = h.file
			if key := filepath.Join(dir, h.id); k.ids[key] == "" {
				k.ids[key] = h.file
			}
		}
		if !h.row {
			stem := plain(strings.TrimSuffix(filepath.Base(h.file), filepath.Ext(h.file)))
			k.stems[filepath.Join(dir, stem)] = h.file
		}
	}
	k.list = slices.Sorted(maps.Keys(k.elsewhere))
	return k
}

// owners says whose each log is. A log belongs to the record beside it whose id it is named by, in capitals or not. One that only
// seems to be somebody's, or that may be one and is not read, is trouble of that client: what stands in it might close training. alone
// are those of nobody.
func (o *Found) owners(all []holder) (of map[string]*belongings, alone []finding.Finding) {
	of, k := make(map[string]*belongings, len(all)), newRegistry(all)
	for _, h := range all {
		of[h.file] = &belongings{log: h.log, sessions: h.sessions, named: h.log+h.sessions != ""}
	}
	for _, log := range o.Logs {
		dir, low := filepath.Dir(log), strings.ToLower(filepath.Base(log))
		exact := exactly(low)
		if file := k.ids[filepath.Join(dir, exact)]; exact != "" && file != "" {
			of[file].take(log, low)
			continue
		}
		if isDiary(log) {
			low = load.DiaryEnd
		}
		owners := k.seeming(log)
		for _, file := range owners {
			of[file].trouble = append(of[file].trouble, k.strayOf(log, low, file))
			if low == load.DiaryEnd && len(owners) == 1 {
				of[file].copies = append(of[file].copies, log)
			}
		}
		if len(owners) == 0 {
			alone = append(alone, strayAlone(log, low))
		}
	}
	for _, m := range o.Maybe {
		m.give(k, of)
	}
	return of, alone
}

// exactly is the id in the name of a log or diary that is called as it has to be, "" for any other.
func exactly(low string) string {
	for _, end := range []string{logEnd, sessionsEnd, load.DiaryEnd} {
		if id, ok := strings.CutSuffix(low, end); ok {
			return id
		}
	}
	return ""
}

// nearest is the record whose id, or file, the longest beginning of a name is: of heron-07-b.log (2).csv that of heron-07-b, not that
// of heron-07.
func nearest(dir, low string, of map[string]string) string {
	for i := len(low); i > 0; i-- {
		if i < len(low) && (low[i] >= 'a' && low[i] <= 'z' || low[i] >= '0' && low[i] <= '9') {
			continue
		}
		if file := of[filepath.Join(dir, strings.TrimSpace(low[:i]))]; file != "" {
			return file
		}
	}
	return ""
}

// take gives a log to its client. Of two under one name in other capitals nobody knows which counts.
func (b *belongings) take(log, low string) {
	place := &b.log
	switch {
	case strings.HasSuffix(low, sessionsEnd):
		place = &b.sessions
	case strings.HasSuffix(low, load.DiaryEnd):
		place = &b.diary
	}
	if *place != "" && b.named {
		return
	}
	if *place != "" {
		b.trouble = append(b.trouble, stray(log, fmt.Sprintf("%s and %s are one name in small letters, allowed: one file", filepath.Base(log), filepath.Base(*place)),
			"put the rows of both into "+low+" and remove the other"))
		return
	}
	*place = log
}

// meant is the name that a log should have for this id.
func meant(low, id string) string {
	switch {
	case strings.Contains(low, "diary"):
		return id + load.DiaryEnd
	case strings.Contains(low, "session"):
		return id + sessionsEnd
	}
	return id + logEnd
}

// strayOf is a log that seems to belong to the record in file and is not called so, or stands elsewhere.
func (k *registry) strayOf(log, low, file string) finding.Finding {
	base, id := filepath.Base(log), k.idOf[file]
	if id == "" {
		return stray(log, fmt.Sprintf("%s stands beside %s, whose id cannot be read, allowed: a log named by the id of a record beside it", base, filepath.Base(file)),
			"repair the record first")
	}
	name := meant(low, id)
	switch beside := filepath.Dir(log) == filepath.Dir(file); {
	case !beside:
		return stray(log, fmt.Sprintf("%s seems to belong to the record in %s, which is in another folder, allowed: %s beside it", base, filepath.ToSlash(file), name),
			fmt.Sprintf("move it to %s; where that is there already, put its rows into that file and remove this one", filepath.ToSlash(filepath.Join(filepath.Dir(file), name))))
	case k.begins(filepath.Dir(log), plain(base)) == "":
		return stray(log, fmt.Sprintf("%s is named by no id of a record beside it, did you mean %s of the record in %s", base, name, filepath.ToSlash(file)),
			"rename it to "+name+", or move it out of this folder")
	}
	return stray(log, fmt.Sprintf("%s seems to belong to the record in %s, whose id is %s, allowed: %s", base, filepath.Base(file), id, name),
		fmt.Sprintf("rename it to %s; where that is there already, put its rows into that file and remove this one", name))
}

// strayAlone is a log of which no record is known.
func strayAlone(log, low string) finding.Finding {
	return stray(log, fmt.Sprintf("%s is named by no id of a record beside it, allowed: such as heron-07%s for the record whose id is heron-07", filepath.Base(log), meant(low, "")),
		"rename it by the id of its client, or move it out of this folder")
}

func stray(log, message, remedy string) finding.Finding {
	return finding.Finding{Rule: LogOwner, Verdict: finding.Malformed, Pos: finding.Pos{File: log, Line: 1, Column: 1}, Private: true,
		Message: message, Remedy: remedy, Rationale: whyFound}
}
