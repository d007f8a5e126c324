package clinic

import (
	"path/filepath"
	"regexp"
	"strings"

	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
)

// Sync programs, file managers and people make copies of a diary under names by which it is not read, and end them as a record ends.
// What was entered into a copy closes training as what stands in the diary does, so that a copy is trouble until somebody has put its
// lines into the diary or has taken it away.

// diaryWord is a part of a name that says that it is a diary, or a copy of one.
var diaryWord = regexp.MustCompile(`[^a-z0-9]diary([^a-z0-9]|$)`)

// headOf is how much of a file is read to tell whether it is a diary.
const headOf = 4 << 10

// isDiaryCopy says whether a file is a diary under a name that no diary has: by how it begins, or by a name that says so where nothing in
// it says otherwise.
func isDiaryCopy(name string) bool {
	low := strings.ToLower(filepath.Base(name))
	if load.IsDiaryName(low) {
		return false
	}
	called := diaryWord.MatchString(low)
	if end := filepath.Ext(low); !called && end != ".yaml" && end != ".yml" && end != ".txt" {
		return false
	}
	src, err := files.Fetch(name, headOf)
	if err != nil {
		return false // the reader says what cannot be read
	}
	return load.BeginsDiary(src) || called && !holdsWords.Match(src)
}

// isDiary says whether a name, or what stands under it, is meant for a diary.
func isDiary(log string) bool {
	return diaryWord.MatchString(strings.ToLower(filepath.Base(log))) || isDiaryCopy(log)
}
