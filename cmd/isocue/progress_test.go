package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"isocue.example/cmd/isocue/cli"
)

// story is one of the courses in testdata/follow, as the trainer follows it up on the day after its last reading.
type story struct {
	name, log string
	edit      [2]string // of the record
	code      int
	verdict   string
	tell      []string // howSoon who rule
	rows      []int    // lines
	reason    string   // words of the letter's first sentence
}

var stories = []story{
	{name: "tomas", log: "tomas", verdict: "clear change", tell: []string{"this week prescriber log-fall-medicine"}, reason: "the home mean fell by 22 mmHg"},
	{name: "three bad rows", log: "badrows", verdict: "clear change", tell: []string{"this week prescriber log-fall-medicine", "this week coach log-rows"},
		rows: []int{58, 59, 60}, reason: "the home mean fell by 22 mmHg"},
	{name: "a medicine changed between", log: "tomas", edit: [2]string{"{class: thiazide, changed: 2025-03-01}", "{class: thiazide, changed: 2027-02-20}"},
		verdict: "not comparable", tell: []string{"this week prescriber log-fall-medicine"}, reason: "the home mean fell by 22 mmHg"},
	{name: "a severe week", log: "severe", code: cli.ExitRefused, verdict: "clear rise", reason: "a danger sign: trouble seeing",
		tell: []string{"now emergency log-danger-sign", "today prescriber log-gate-systolic", "this week prescriber log-high-days", "this week prescriber log-mean-high-diastolic",
			"this week prescriber log-mean-high-systolic", "this week prescriber log-rise", "this week coach log-symptom"}},
	{name: "a low week", log: "low", code: cli.ExitRefused, verdict: "clear change", reason: "with dizziness or a faint while pressure medicine is taken",
		tell: []string{"today prescriber log-fall-medicine-dizzy", "today prescriber log-mean-low", "today coach log-symptom-coach", "this week prescriber log-low-medicine", "this week coach log-low"}},
}

const followedNow = "2027-03-29T08:00:00Z"

// setting writes record, logs and plan of a story into an empty folder and goes there.
func (s story) setting(t *testing.T) {
	t.Helper()
	from, err := filepath.Abs(filepath.Join("..", "..", "testdata", "follow"))
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	read := func(name string) string {
		b, err := os.ReadFile(filepath.Join(from, name))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	write := func(name, text string) {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	record := read("client.yaml")
	write("client.yaml", record)
	write("log.csv", read(s.log+".log.csv"))
	if code, _, errw := run("compile", "handgrip-alternating", "--client", "client.yaml", "--start", "2027-02-01", "--now", "2027-01-31T09:00:00Z", "--pack", "pack"); code != cli.ExitOK {
		t.Fatal(errw)
	}
	if s.edit[0] != "" {
		if !strings.Contains(record, s.edit[0]) {
			t.Fatalf("%q does not stand in the record", s.edit[0])
		}
		write("client.yaml", strings.Replace(record, s.edit[0], s.edit[1], 1))
	}
}

func (s story) follow(t *testing.T, more ...string) (stdout, stderr string) {
	t.Helper()
	code, out, errw := run(append([]string{"progress", "--client", "client.yaml", "--log", "log.csv", "--plan", "pack/plan.json", "--now", followedNow}, more...)...)
	if code != s.code {
		t.Fatalf("%s: exit code %d, want %d: %s", s.name, code, s.code, errw)
	}
	return out, errw
}

// Each story gives its verdict, whom to tell, and the rows that could not be used. "Not comparable" silences no alert.
func TestStories(t *testing.T) {
	for _, s := range stories {
		t.Run(s.name, func(t *testing.T) {
			s.setting(t)
			out, _ := s.follow(t, "--format", "json")
			var p struct {
				Windows []struct{ Readings int }
				Change  struct{ Systolic, Low, High, Reliable json.Number }
				Verdict string
				Tell    []struct{ Who, HowSoon, Rule, Why, Do string }
				Rows    []struct {
					File    string
					Line    int
					Problem string
				}
				Closed     bool
				Conditions []struct{ Code, Since string }
			}
			if err := json.Unmarshal([]byte(out), &p); err != nil {
				t.Fatal(err)
			}
			var tell []string
			for _, x := range p.Tell {
				tell = append(tell, x.HowSoon+" "+x.Who+" "+x.Rule)
				if x.Why == "" || x.Do == "" {
					t.Errorf("%s says not why or not what to do", x.Rule)
				}
			}
			var rows []int
			for _, x := range p.Rows {
				rows = append(rows, x.Line)
				if x.File != "log.csv" || x.Problem == "" {
					t.Errorf("%+v", x)
				}
			}
			if p.Verdict != s.verdict || fmt.Sprint(tell) != fmt.Sprint(s.tell) || fmt.Sprint(rows) != fmt.Sprint(s.rows) {
				t.Errorf("%s\n%s\n%v", p.Verdict, strings.Join(tell, "\n"), rows)
			}
			if p.Closed != (s.code == cli.ExitRefused) || p.Closed != (len(p.Conditions) == 1 && p.Conditions[0].Code == "alert-in-log") {
				t.Errorf("closed %v, %v", p.Closed, p.Conditions)
			}
			if s.log == "tomas" && (p.Windows[0].Readings != 24 || p.Change.Systolic != "-22" || p.Change.Low != "-39.6" || p.Change.High != "-4.4" || p.Change.Reliable != "17.6") {
				t.Errorf("%+v", p)
			}
		})
	}
}

// tags are what stands between < and >, and the head of a page, which no reader sees.
var tags = regexp.MustCompile(`(?s)<head>.*</head>|<[^>]*>`)

// maxLetterWords is the most words that a letter has, slip included: a page that is read.
const maxLetterWords = 250

// aWord is a word as a reader counts it: a run without a space that has a letter or a digit.
var aWord = regexp.MustCompile(`\S*[0-9A-Za-z[:^ascii:]]\S*`)

// A letter has one page of at most 250 words, its reason in the first sentence, a reply slip, and the name; nothing else of a
// follow-up has the name. It claims no cause and says nothing of medicine but to change nothing.
func TestLetters(t *testing.T) {
	for _, s := range stories {
		t.Run(s.name, func(t *testing.T) {
			s.setting(t)
			for _, form := range []string{".txt", ".html"} {
				text, errw := s.follow(t, "--letter", "letter"+form, "--report", "report"+form)
				js, _ := s.follow(t, "--format", "json", "--report", "report.json")
				read := func(name string) string {
					b, err := os.ReadFile(name)
					if err != nil {
						t.Fatal(err)
					}
					return string(b)
				}
				letter := read("letter" + form)
				seen := tags.ReplaceAllString(letter, " ")
				if n := len(aWord.FindAllString(seen, -1)); n > maxLetterWords || n < 80 {
					t.Errorf("%s: %d words, allowed: 80 to %d", form, n, maxLetterWords)
				}
				first, _, _ := strings.Cut(seen[strings.Index(seen, "I write about"):], "\n")
				if !strings.Contains(first, s.reason) || !strings.Contains(first, "Tomas Arden") {
					t.Errorf("%s: the first sentence is %q", form, first)
				}
				for _, part := range []string{"Pressure to call at:", "151/88", "squeezes a hand grip 4 times for 2 minutes", "do not tell what caused a change", "Change nothing about your medicine"} {
					if !strings.Contains(seen, part) {
						t.Errorf("%s: the letter lacks %q", form, part)
					}
				}
				for where, x := range map[string]string{"text": text, "errors": errw, "json": js, "report": read("report" + form), "report as data": read("report.json")} {
					if strings.Contains(x, "Tomas") || strings.Contains(x, "Arden") {
						t.Errorf("%s: %s has the client's name", form, where)
					}
					if strings.Contains(strings.ToLower(x), "training lowered") {
						t.Errorf("%s: %s claims a cause", form, where)
					}
				}
			}
		})
	}
}

// network is anything that a page could fetch or run.
var network = regexp.MustCompile(`(?i)<script|<link|<img|<iframe|@import|url\(|https?://|\son[a-z]+=|srcset|javascript:`)

// A page is one file that fetches nothing and runs nothing, its style allowed by its digest alone; colour carries no meaning,
// for there is none but black, white and grey.
func TestPagesStandAlone(t *testing.T) {
	s := stories[3]
	s.setting(t)
	s.follow(t, "--letter", "letter.html", "--report", "report.html")
	for _, name := range []string{"letter.html", "report.html"} {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if m := network.Find(b); m != nil {
			t.Errorf("%s holds %q", name, m)
		}
		if !bytes.Contains(b, []byte(`content="default-src &#39;none&#39;; style-src &#39;sha256-`)) {
			t.Errorf("%s has no policy that allows nothing", name)
		}
		for _, c := range regexp.MustCompile(`#[0-9a-fA-F]{3,6}\b`).FindAllString(string(b), -1) {
			if c = strings.Trim(c, "#"); strings.Trim(c, c[:1]) != "" {
				t.Errorf("%s: colour #%s is no grey", name, c)
			}
		}
	}
	page, err := os.ReadFile("report.html")
	if err != nil {
		t.Fatal(err)
	}
	if figures, tables := bytes.Count(page, []byte("<figure>")), bytes.Count(page, []byte("<table>")); figures < 1 || tables < figures {
		t.Errorf("%d charts, %d tables", figures, tables)
	}
}

// A hostile note, heading or name is shown as text, not obeyed.
func TestPagesEscape(t *testing.T) {
	s := stories[0]
	s.edit = [2]string{"name: Tomas Arden", `name: "<script>alert(1)</script>"`}
	s.setting(t)
	b, err := os.ReadFile("log.csv")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("log.csv", bytes.Replace(b, []byte("129,76"), []byte("<b>,\"</style><script>\""), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("sessions.csv", []byte("at,uid,outcome,symptoms,told\n2027-03-26T07:00,x,stopped,fainted,<img src=x>\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	s.code = cli.ExitRefused
	s.follow(t, "--letter", "letter.html", "--report", "report.html", "--sessions", "sessions.csv")
	for _, name := range []string{"letter.html", "report.html"} {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if m := network.Find(b); m != nil {
			t.Errorf("%s holds %q", name, m)
		}
	}
}
