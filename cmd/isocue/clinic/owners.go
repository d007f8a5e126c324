package clinic

import (
	"cmp"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/near"
)

// holder is a client record that was found, and its id; "" where that cannot be told.
type holder struct {
	file, id string
	row      bool // of a spreadsheet, whose name is nobody's
}

// belongings is what stands beside a record and is its client's.
type belongings struct {
	log, sessions, diary string            // "" where there is none
	trouble              []finding.Finding // logs and diaries that seem to be this client's and are not called so
}

// owners says whose each log is. A log belongs to the record beside it whose id it is named by, in capitals or not. One that only
// seems to be somebody's is trouble of that client: what stands in it might close training. alone are those of nobody.
func owners(logs []string, all []holder) (of map[string]*belongings, alone []finding.Finding) {
	of = make(map[string]*belongings, len(all))
	ids, stems, elsewhere := map[string]string{}, map[string]string{}, map[string]string{}
	for _, h := range all {
		of[h.file] = &belongings{}
		dir := filepath.Dir(h.file)
		if h.id != "" {
			elsewhere[h.id] = h.file
			if key := filepath.Join(dir, h.id); ids[key] == "" {
				ids[key] = h.file
			}
		}
		if !h.row {
			stem := strings.ToLower(strings.TrimSuffix(filepath.Base(h.file), filepath.Ext(h.file)))
			stems[filepath.Join(dir, stem)] = h.file
		}
	}
	idOf := make(map[string]string, len(all))
	for _, h := range all {
		idOf[h.file] = h.id
	}
	for _, log := range logs {
		dir, low := filepath.Dir(log), strings.ToLower(filepath.Base(log))
		exact := exactly(low)
		if file := ids[filepath.Join(dir, exact)]; exact != "" && file != "" {
			of[file].take(log, low)
			continue
		}
		file, id := nearest(dir, low, ids), ""
		if file == "" {
			file = nearest(dir, low, stems)
		}
		if file != "" {
			id = idOf[file]
			of[file].trouble = append(of[file].trouble, strayOf(log, low, file, id))
			continue
		}
		alone = append(alone, strayAlone(log, low, exact, elsewhere))
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

// strayOf is a log that seems to belong to the record in file and is not called so.
func strayOf(log, low, file, id string) finding.Finding {
	if id == "" {
		return stray(log, fmt.Sprintf("%s stands beside %s, whose id cannot be read, allowed: a log named by the id of a record beside it", filepath.Base(log), filepath.Base(file)),
			"repair the record first")
	}
	return stray(log, fmt.Sprintf("%s seems to belong to the record in %s, whose id is %s, allowed: %s", filepath.Base(log), filepath.Base(file), id, meant(low, id)),
		fmt.Sprintf("rename it to %s; where that is there already, put its rows into that file and remove this one", meant(low, id)))
}

// strayAlone is a log of which no record beside it is known.
func strayAlone(log, low, exact string, elsewhere map[string]string) finding.Finding {
	if file := elsewhere[exact]; exact != "" && file != "" {
		return stray(log, fmt.Sprintf("%s is named by the id of the record in %s, which is in another folder, allowed: beside it", filepath.Base(log), filepath.ToSlash(file)),
			"move it to "+filepath.ToSlash(filepath.Join(filepath.Dir(file), meant(low, exact))))
	}
	first, _, _ := strings.Cut(low, ".")
	ids := slices.Sorted(maps.Keys(elsewhere))
	hint := near.Match(cmp.Or(exact, first), ids)
	if hint == "" {
		return stray(log, fmt.Sprintf("%s is named by no id of a record beside it, allowed: such as heron-07%s for the record whose id is heron-07", filepath.Base(log), meant(low, "")),
			"rename it by the id of its client, or move it out of this folder")
	}
	return stray(log, fmt.Sprintf("%s is named by no id of a record beside it, did you mean %s of the record in %s", filepath.Base(log), meant(low, hint), filepath.ToSlash(elsewhere[hint])),
		"rename it to "+meant(low, hint)+", or move it out of this folder")
}

func stray(log, message, remedy string) finding.Finding {
	return finding.Finding{Rule: LogOwner, Verdict: finding.Malformed, Pos: finding.Pos{File: log, Line: 1, Column: 1}, Private: true,
		Message: message, Remedy: remedy, Rationale: whyFound}
}
