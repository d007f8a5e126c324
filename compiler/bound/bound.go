// Package bound holds how much isocue reads and makes at most. Each bound counts something (bytes, rows, sessions, candidates) and
// never time, so that the same input meets the same bound on every machine. They are bounds of the machine and not of anybody's
// health: what is good for a client is decided by rules, far below them.
//
// A bound stands well over what an honest clinic needs, and so low that whatever passes is worked on within about a second and
// 256 MB. What is beyond is refused as malformed, with its number and the bound.
package bound

import "fmt"

// What is read.
const (
	// File is the largest protocol, client record, policy or waivers file in bytes. The longest standard protocol has 2 KB and a record
	// with two years of readings under 40; a file of 64 KB that is as hard to read as can be costs half a second.
	File = 64 << 10
	// Plan is the largest plan in bytes: a session takes 380 of them, so that Entries sessions are under half of it.
	Plan = 8 << 20
	// PlanValues is how many values a plan holds at most: a session has 14, so that Entries sessions have a third of them.
	PlanValues = 400_000
	// PlanText is the longest text of a plan in bytes. The longest that isocue writes is why a session found no place, under 500, and the
	// longest that it takes from somebody is a waiver of two lines of 200 characters.
	PlanText = 4 << 10
	// KindLoads and KindSteps bound what is written out for each session of a kind. A kind has a load for each hand, and at most 60
	// squeezes with a rest behind each.
	KindLoads, KindSteps = 8, 500
	// Log is the largest log in bytes, and LogRows the most rows it may have: ten years of four readings a day are 14,600.
	Log     = 2 << 20
	LogRows = 20_000
	// Diary is the largest diary in bytes, and DiaryEntries the most entries: an entry has 100 to 200 bytes, and a trainer who enters ten
	// a week needs forty years. Each costs 40 microseconds.
	Diary        = 4 << 20
	DiaryEntries = 20_000
	// BundleEntries is the most entries of a Bundle: a pulse of its own beside each reading, and as many of other kinds.
	BundleEntries = 3 * LogRows
	// Ledger is the largest ledger in bytes, and LedgerLines the most lines. A clinic that judges fifty files on every working day
	// writes 13,000 lines a year; a line has about 500 bytes, and costs 20 microseconds and 2 KB of memory.
	Ledger      = 32 << 20
	LedgerLines = 50_000
	// Spreadsheet is the largest spreadsheet of clients in bytes, SpreadsheetRows the most clients and SpreadsheetColumns the most columns.
	// The largest roster that was tried has 10,000 clients in 30 MB; a record in full has 300 columns.
	Spreadsheet        = 128 << 20
	SpreadsheetRows    = 50_000
	SpreadsheetColumns = 2000
	// Listing is the longest list of a collection that a server may answer with in bytes, and Listed how many things it may list: a
	// server writes 300 to 600 bytes for each of Entries. AnswerHead is the longest head of an answer.
	// ListedParts is how many groups of properties it may give of one thing: those that it has, and those that it has not.
	Listing, Listed = 8 << 20, 2 * Entries
	ListedParts     = 16
	AnswerHead      = 64 << 10
	// Answer is the longest answer about one entry in bytes: an entry has 3 KB, and its zone as much again. Answers is how many bytes
	// a server may answer with in one run.
	Answer, Answers = 64 << 10, 64 << 20
	// Closed is the largest list of closing days in bytes: a day takes 11, a calendar's event 200, and a clinic closes fifty days a year.
	Closed = 1 << 20
)

// What is made.
const (
	// Away is how many stretches of days without training a programme may have, those that touch taken as one: closing days, days away
	// and pauses. Twenty years of a clinic that closes fifty times a year are a thousand; each is looked at for every day of the course.
	Away = 3000
	// Protocols is how many protocols one client may train together. Six modalities with an upkeep each are twelve.
	Protocols = 24
	// Sessions is how many sessions a programme may ask for. Six on every day of two years, the longest course, are 4,368; the
	// largest that rules let pass without a caution has half. Each costs about 3 KB of calendar and 10 microseconds.
	Sessions = 5000
	// Entries is how many entries a plan may have at most, all-day ones and the cancelled ones of earlier compiles included.
	Entries = 2 * Sessions
	// Candidates is how many partial weeks the search for dates may look at in one compile. Two years of two sessions a day in hours
	// of six stretches a day look at 1.3 million; each costs 50 to 100 nanoseconds.
	Candidates = 8_000_000
	// Output is the largest file in bytes that is made of one plan: a calendar of Sessions sessions has 15 MB at most. A recording of
	// paced breathing is not made of a plan, and has a bound by its minutes.
	Output = 32 << 20
	// Told is how many rows of a spreadsheet are told in full what is wrong with them. What is wrong with a hundred is wrong with a
	// column, and to find every place of a row costs 25 ms.
	Told = 40
)

// Over is what is over a bound: Has of What, where Most are allowed, and what to do about it.
type Over struct {
	What      string // such as "the plan asks for"
	Has, Most int
	Of        string // what is counted, such as "sessions"
	Then      string // such as "train on fewer days"
	AtLeast   bool   // Has is where counting was given up
}

func (o *Over) Error() string { return o.Message() + "; " + o.Then }

// Message is the error without what to do about it.
func (o *Over) Message() string {
	more := ""
	if o.AtLeast {
		more = "more than "
	}
	return fmt.Sprintf("%s %s%d %s, allowed: at most %d", o.What, more, o.Has, o.Of, o.Most)
}
