package clinic

import (
	"regexp"
	"slices"
	"strings"

	"isocue.example/compiler/load"
)

// calling is what a file's name alone says is to be done with it. A name says where to look; what a file is about is told by what
// it holds.
type calling int

const (
	ordinary calling = iota // a page, a picture, a file of isocue's own: counted
	toRead                  // it ends as what people write: a record, a protocol, a policy
	aLog                    // it is named as a log, a session log or a diary
	aTable                  // a table that may be a log under another name
	leftover                // an editor's or an archive's copy of one that counts: named, and refused where it may be the only log
	lock                    // what a program keeps beside a file, and holds nothing of it: named
	document                // a page or a letter, which may hold readings and is not read: refused where it is called by a client's id
	aCopy                   // such a file under a name by which it is not read, as sync programs and systems make them: refused
	unknown                 // an ending that says nothing: looked into, and named
)

// endings are how the files end that people write.
const endings = ".cue, .yaml, .yml or .json"

// Endings of the logs that stand beside a record, by which a roster and a follow-up find them.
const logEnd, sessionsEnd = ".log.csv", ".sessions.csv"

var (
	// mention is the ending of a file that counts, wherever it stands in a name: heron-07.yaml.bak, heron-07.yaml (1).
	mention = regexp.MustCompile(`[^/](\.(cue|ya?ml|json|csv))([^a-z0-9].*|)$`)
	// logWord is a part of a table's name that says what it is for: heron-07.log (2).csv, heron-07-sessions.xlsx. A protocol may have
	// such a word in its name, so that of what ends like one, only the last part but one counts: heron-07.log.json.
	logWord = regexp.MustCompile(`[^a-z0-9](logs?|sessions?|diary)([^a-z0-9]|$)`)
	logPart = regexp.MustCompile(`\.(log|sessions)\.[a-z]+$`)
	// diaryEnd is how a diary ends.
	diaryEnd = regexp.MustCompile(`\.diary\.(cue|ya?ml|json)$`)
	// synced is what sync programs and file managers put into the name of a copy.
	synced = regexp.MustCompile(`conflict|konflikt|conflit|\bcop(y|ie|ia|i)\b|\bkopi[ea]?\b|\(\d+\)|\.icloud$`)
)

// ordinaryEnds are the endings of files that are nobody's record: documents, pictures, sound, programs, and what isocue writes.
var ordinaryEnds = strings.Fields(`.md .tex .css .js .ts .go .py .sh .bat .ps1 .png .jpg .jpeg .gif .svg .webp .heic .tif .tiff .bmp .wav .mp3 .m4a
	.mp4 .mov .ics .vcf .jsonl .lock .sum .mod .toml .ini .cfg .ppt .pptx .odp .zip`)

// documentEnds are the endings of what a device, a mail or a person may have put readings into, and isocue does not read.
var documentEnds = strings.Fields(`.pdf .doc .docx .odt .rtf .pages .htm .html .mht .mhtml .eml .msg .xml .log`)

// leftoverEnds are what editors, archives and downloads put behind the name of a file.
var leftoverEnds = strings.Fields(`.bak .backup .old .orig .rej .swp .swo .swn .tmp .temp .save .part .partial .crdownload .gz .bz2 .xz .zip .7z
	.gpg .asc .sig .age .pgp`)

// ordinaryNames are files without an ending, and settings of other programs, that are nobody's record.
var ordinaryNames = []string{"license", "licence", "copying", "readme", "makefile", "codeowners", "authors", "changelog", "notice", "pre-commit", "dockerfile", "thumbs.db", "desktop.ini",
	".pre-commit-hooks.yaml", ".pre-commit-config.yaml"}

// called says by a file's name what is to be done with it, and why in words where it is passed over.
func called(name string) (calling, string) {
	low := strings.ToLower(name)
	end := ""
	if i := strings.LastIndexByte(low, '.'); i > 0 {
		end = low[i:]
	}
	_, known := load.FormatOf(low)
	counts := mention.MatchString(low)
	switch {
	case slices.Contains(ordinaryNames, low):
		return ordinary, ignored
	case strings.HasPrefix(low, ".#"), strings.HasPrefix(low, ".~"), strings.HasPrefix(low, "~$"):
		return lock, "an editor's lock"
	case strings.HasPrefix(low, "._"):
		return lock, "what a Mac keeps beside a file"
	case len(low) > 2 && low[0] == '#' && low[len(low)-1] == '#':
		return leftover, "a text that an editor has not saved"
	case (counts || logPart.MatchString(low)) && (strings.HasSuffix(low, "~") || slices.Contains(leftoverEnds, end)):
		return leftover, "an editor's or archive's copy"
	case strings.HasSuffix(low, logEnd), strings.HasSuffix(low, sessionsEnd), diaryEnd.MatchString(low):
		return aLog, ""
	case known && logPart.MatchString(low), strings.Contains(low, ".csv") && logWord.MatchString(low):
		return aLog, ""
	case known:
		return toRead, ""
	case counts && end != ".csv" && (synced.MatchString(low) || end == ".txt" || strings.TrimSpace(low) != low):
		return aCopy, ""
	case logWord.MatchString(low) && (counts || slices.Contains(tableEnds, end) || logPart.MatchString(low)):
		return aLog, ""
	case slices.Contains(tableEnds, end):
		return aTable, ""
	case counts:
		return unknown, "ends in none of " + endings
	case slices.Contains(documentEnds, end):
		return document, ignored
	case low[0] == '.', slices.Contains(ordinaryEnds, end):
		return ordinary, ignored
	case end == ".txt":
		return unknown, ignored
	}
	return unknown, "ends in none of " + endings
}

// ignored is why what nobody takes for a record is passed over.
const ignored = "no file that isocue reads"

// tableEnds are how tables end.
var tableEnds = []string{".csv", ".tsv", ".xlsx", ".xls", ".ods", ".numbers"}

// holdsWords are the fields that tell a file's kind, at the start of a line or of the text: what holds one of them is a record, a
// protocol, a policy, waivers or a plan, whatever it is called.
var holdsWords = regexp.MustCompile(`(?m)(^|[{,])\s*"?(screening|measured|modality|limits|reviewers|waivers)"?\s*:`)

// clientHeading is a heading of a table of clients that no log has.
var clientHeading = regexp.MustCompile(`(?i)dominantHand|\bzone\b|screening`)

// logHeading is the first line of a table of readings or sessions.
var logHeading = regexp.MustCompile(`(?i)^[^\n]*(systol|diastol|mmhg|\buid\b.*\boutcome\b|blutdruck)`)
