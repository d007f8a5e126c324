package start

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"isocue.example/compiler/load"
)

// RecordsName is the file that leads an editor and the cue command from the schema to the client records and diaries beside it.
const RecordsName = "clients.cue"

// recordEndings are the notations of a record that a CUE file can lead to. A record in CUE itself it cannot.
var recordEndings = []string{"json", "yaml", "yml"}

// Records is the text of RecordsName for a folder with files of these names. The pattern holds every record against the
// schema; the names are for the editor, whose server (v0.17.1) does not follow a pattern. They are optional, so that one that
// is gone harms nothing.
func Records(names []string) []byte { return records(names, true) }

// records is the text with diaries, or as it was before there were any.
func records(names []string, diaries bool) []byte {
	var b strings.Builder
	b.WriteString("@extern(embed)\n\n// Written by isocue for the editor and `cue vet`: it leads from the schema to the records beside it. Leave it as it is.\n" +
		"package clients\n\nimport \"isocue.example/schema\"\n")
	for _, ending := range recordEndings {
		labels := [][2]string{{"[string]:", "#Client"}}
		if diaries && ending == "yaml" {
			labels = [][2]string{{`[!~"[.]diary[.]yaml$"]:`, "#Client"}, {`[=~"[.]diary[.]yaml$"]:`, "#Diary"}}
		}
		for _, n := range slices.Sorted(slices.Values(names)) {
			def := "#Client"
			if diaries && load.IsDiaryName(n) {
				def = "#Diary"
			}
			if path.Ext(n) == "."+ending {
				labels = append(labels, [2]string{strconv.Quote(n) + "?:", def})
			}
		}
		width := 0
		for _, l := range labels {
			width = max(width, utf8.RuneCountInString(l[0]))
		}
		fmt.Fprintf(&b, "\n%s: {\n", ending)
		for _, l := range labels {
			fmt.Fprintf(&b, "\t%s%s schema.%s\n", l[0], strings.Repeat(" ", width-utf8.RuneCountInString(l[0])), l[1])
		}
		fmt.Fprintf(&b, "} @embed(glob=*.%s,allowEmptyGlob)\n", ending)
	}
	return []byte(b.String())
}

var listed = regexp.MustCompile(`(?m)^\t("(?:[^"\\]|\\.)+")\?:`)

// Listed are the names in the text of a RecordsName; ok says that the text is ours to the last byte, or was before there were diaries.
func Listed(src []byte) (names []string, ok bool) {
	for _, m := range listed.FindAllSubmatch(src, -1) {
		n, err := strconv.Unquote(string(m[1]))
		if err != nil {
			return nil, false
		}
		names = append(names, n)
	}
	return names, string(Records(names)) == string(src) || string(records(names, false)) == string(src)
}
