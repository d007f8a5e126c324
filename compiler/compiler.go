// Package compiler turns protocols and one client's record into a plan: the only place that knows the order of work, which is
// the list called sequence. Each stage stands in a file of its own and gives a value that the stages after it read.
//
// Emitting is the caller's: calendar and report turn the plan into bytes, and only a Result without a rejection has one.
package compiler

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler/check"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/near"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
	"isocue.example/protocols"
)

// Compiler holds what every compile shares. It may be used from several goroutines.
type Compiler struct {
	Reader  *load.Reader
	Check   *check.Checker
	Waivers *Waivers  // nil without
	alone   *Compiler // of a judge under a clinic's policy: the rule base by itself; nil without a policy
}

// New reads the embedded schema and rule base. What reading and evaluating somebody's file may take is bounded by w; nil for no
// bounds. An error is a defect of the program.
func New(w *load.Watchdog) (*Compiler, error) {
	var r *load.Reader
	var rerr error
	done := make(chan struct{})
	go func() { // the two take nearly all the time that a start takes
		defer close(done)
		r, rerr = load.NewReader(w)
	}()
	b, err := rule.Load()
	<-done
	if err = errors.Join(err, rerr); err != nil {
		return nil, err
	}
	judge := check.New(b)
	r.Accepts = judge.Accepts
	return &Compiler{Reader: r, Check: judge}, nil
}

// StandardIDs lists the standard protocols, sorted.
func (c *Compiler) StandardIDs() []string {
	ids, _ := fs.Glob(protocols.FS, "*.cue") // no error but that of a pattern
	for i := range ids {
		ids[i] = strings.TrimSuffix(ids[i], ".cue")
	}
	return ids
}

// Standard reads a standard protocol; nil when there is none of that id.
func (c *Compiler) Standard(id string) *load.File {
	src, err := protocols.FS.ReadFile(path.Base(id) + ".cue")
	if err != nil || path.Base(id) != id {
		return nil
	}
	return c.Reader.Bytes("protocols/"+id+".cue", src)
}

// Input is what a compile depends on, and nothing else: the same input gives the same result, byte for byte.
type Input struct {
	Protocols []*load.Protocol
	Client    *load.Client
	Start     unit.Date
	Now       time.Time
	// Previous is the plan before, of the same client: what has begun stands, the rest moves only where it must. nil for a
	// first plan.
	Previous *record.Plan
	// Move says that the courses of the plan before move to Start; otherwise each keeps its own. Begin is the day on which protocols
	// that the plan before does not have begin beside its own; 0 for Start.
	Move  bool
	Begin unit.Date
	// Courses are those of the diary: their starts, and their last days where another takes their place; nil where the diary tells of none.
	Courses []diary.Course
	// Hold says that a running course is held where anything unsafe is found of it; Closings are what logs close.
	Hold     bool
	Closings []Closing
	// Diary is what happened to the client since the record was begun; nil without.
	Diary *diary.Diary
	// Sessions are the rows of the client's session log; nil without.
	Sessions []record.SessionRow
	// Pauses are stretches without training, asked for by the trainer; Closed are days on which the clinic is closed.
	Pauses, Closed []record.Span
	NoReviews      bool // leave out the meetings with the coach
	Gather         bool // one all-day entry a day for breathing that is trained several times a day
	Remind         int  // minutes before a session at which an alarm sounds, 0 for none
	// ended is the plan before where its course had ended: nothing of it is followed, but its last sessions were trained.
	ended    *record.Plan
	Discreet bool // the calendar's entries say nothing about health and send to the client's sheet
}

// Result is a plan, or the findings that refused it. Findings may hold cautions beside a plan; and what refuses where the plan is the
// one before, with nothing changed but that what is held and what lies on closed days is cancelled.
type Result struct {
	Plan     *record.Plan // nil when a finding rejects
	Findings []finding.Finding
	Changes  []record.Change // against the plan before
	// New says that the course of the plan before had ended: this is another one, with identities of its own.
	New bool
}

// driver is one way through the sequence: it takes the stages that are for it, in their order.
type driver uint8

const (
	linting    driver = 1 << iota // protocols by themselves
	rehearsing                    // a client record as of today, and protocols as if they started then
	compiling
	recalling // a plan that was compiled earlier: the timetable, the loads and the sessions are those that stand in it
	following // a client's logs
)

// sequence is the order of work, and there is no other. A driver that ends at a stage goes no further than there when anything
// that was found up to then rejects.
var sequence = []struct {
	name string
	of   driver
	ends driver
	do   func(*pass)
}{
	{"bounds", rehearsing | compiling, rehearsing | compiling, func(r *pass) { r.find(r.asksTooMuch()) }},
	{"check", rehearsing | compiling, rehearsing, (*pass).checkClient},
	{"check", linting | compiling | recalling, compiling, func(r *pass) { r.waived = r.find(r.checkProtocols()) }},
	{"check", rehearsing | compiling | recalling, compiling, func(r *pass) { r.find(r.c.Check.Together(r.trains())) }},
	{"schedule", compiling, compiling, func(r *pass) { r.times, r.err = r.place(r.waived) }},
	{"check", compiling, compiling, func(r *pass) { r.find(append(r.checkPassed(r.times), r.checkSteps(r.times)...)) }},
	{"schedule", rehearsing, 0, func(r *pass) { r.times = r.rehearse() }},
	{"dose", rehearsing | compiling, 0, func(r *pass) { r.loads = r.dose(r.times) }},
	{"check", rehearsing | compiling | recalling, compiling, func(r *pass) { r.find(r.checkLoads(r.loads)) }},
	{"session", compiling, 0, func(r *pass) { r.built, r.err = r.build(r.times, r.loads) }},
	{"session", compiling, 0, func(r *pass) { r.stands = r.around(r.times, r.built) }},
	{"check", compiling | recalling, compiling, func(r *pass) { r.find(r.checkPlan(r.stands, r.times.last)) }},
	{"plan", compiling, 0, func(r *pass) { r.Plan = r.plan(r.times, r.built, r.waived, r.held) }},
	{"plan", compiling, 0, func(r *pass) { r.Changes, r.err = r.follow(r.Plan) }},
	{"bounds", compiling, 0, func(r *pass) { r.find(r.madeTooMuch()) }},
	{"log", following, 0, func(r *pass) { r.followed = r.read(r.log) }},
	{"check", following, 0, func(r *pass) { r.followed.Tells = r.checkLog(r.log, r.followed) }},
	{"log", following, 0, func(r *pass) { progress.Decide(r.followed) }},
}

// pass is one pass through the sequence: what it was given, what each stage gave, and what was found.
type pass struct {
	*programme
	waived []finding.Finding // accepted by a reviewer
	times  *timetable
	loads  []dosed
	built  built
	stands check.PlanFacts
	held   []record.Hold
	Result
	log      Following
	followed *progress.Followed
	err      error
}

func (r *pass) find(fs []finding.Finding) (waived []finding.Finding) {
	r.Findings = append(r.Findings, fs...)
	for _, f := range fs {
		if f.Waiver.Signed() {
			waived = append(waived, f)
		}
	}
	return waived
}

func (r *pass) through(d driver) {
	for _, s := range sequence {
		if s.of&d == 0 {
			continue
		}
		s.do(r)
		r.overrun()
		if r.err != nil || s.ends&d != 0 && finding.Rejected(r.Findings) {
			break
		}
	}
	r.Findings = finding.Sort(r.Findings)
}

// oneClient refuses the plan before of another client than the record, where that can be read.
func (in Input) oneClient() error {
	if p := in.Previous; p != nil && in.Client != nil && p.Client != in.Client.Record.ID {
		return fmt.Errorf("the plan before is of client %s, the record of client %s, allowed: the same", p.Client, in.Client.Record.ID)
	}
	return nil
}

// Compile runs the whole sequence. An error means that the input could not be compiled for a reason that is not about
// the author's data.
func (c *Compiler) Compile(in Input) (Result, error) {
	if err := in.oneClient(); err != nil {
		return Result{}, err
	}
	for i, p := range in.Protocols {
		if slices.ContainsFunc(in.Protocols[:i], func(o *load.Protocol) bool { return o.Record.ID == p.Record.ID }) {
			return Result{}, fmt.Errorf("protocol %s is named twice, allowed: each once", p.Record.ID)
		}
	}
	in, anew := newCourse(in)
	r := pass{programme: c.programme(in)}
	if r.through(compiling); r.err != nil {
		return Result{}, r.err
	}
	if r.Plan == nil && in.Previous != nil { // nothing keeps a hold from being made, nor a closed day from being closed
		p, changes, err := c.heldAlone(in, r.history, r.held)
		if err != nil {
			return Result{}, err
		}
		p.Moves = r.in.Client.Record.Moves(r.now.Date())
		if len(r.held)+len(changes) > 0 {
			r.Plan, r.Changes = p, changes
		}
	}
	r.New = anew && r.Plan != nil
	return r.Result, nil
}

// Lint judges one file by itself: a protocol in all its stages, a client record as of today. A client record is also
// judged against the protocols given, as if they started today.
func (c *Compiler) Lint(f *load.File, now time.Time, against ...*load.Protocol) []finding.Finding {
	out := append([]finding.Finding(nil), f.Findings...)
	g := &programme{c: c, on: check.Occasion{Today: unit.DateOf(now)}}
	for i := range f.Protocols {
		g.in.Protocols = append(g.in.Protocols, &f.Protocols[i])
	}
	g.trained = g.in.Protocols
	r := pass{programme: g}
	r.through(linting)
	out = append(out, r.Findings...)
	if f.Client != nil {
		r = pass{programme: c.programme(Input{Protocols: against, Client: f.Client, Now: now, Start: history.Wall(f.Client.Record.Zone, now).Date()})}
		r.on = check.Occasion{Protocols: r.on.Protocols, Today: r.on.Today} // no start is set yet
		r.through(rehearsing)
		out = append(out, r.Findings...)
	}
	if f.Diary != nil {
		out = append(out, c.LintDiary(f, nil, now)...)
	}
	return finding.Sort(out)
}

// LintDiary judges the entries of a diary by each other and by the record that it stands beside; cl is nil where that is not known
// or cannot be read. Without a record nobody knows the zone, and a day counts that has begun anywhere.
func (c *Compiler) LintDiary(f *load.File, cl *load.Client, now time.Time) []finding.Finding {
	today := unit.DateOf(now.Add(14 * time.Hour))
	if cl != nil {
		today = history.Wall(cl.Record.Zone, now).Date()
	}
	out := c.Check.Diary(f.Diary, cl, today)
	for i := range f.Diary.Entries {
		e := &f.Diary.Entries[i]
		if e.Course == nil {
			continue
		}
		for _, p := range e.Node().Get("course", "protocols").Items() {
			if _, path := load.FormatOf(p.Text()); path || c.Standard(p.Text()) != nil {
				continue
			}
			out = append(out, finding.Finding{Rule: load.Shape, Verdict: finding.Malformed, Pos: p.Pos, Path: p.Path(), Found: p.Raw, Private: true,
				Message:   fmt.Sprintf("%q is no standard protocol%s", p.Text(), near.Hint(p.Text(), c.StandardIDs())),
				Remedy:    "write the id of a standard protocol, or the path of the clinic's own from its folder, such as protocols/ours.cue",
				Rationale: "A course of a protocol that nobody has would be no course."})
		}
	}
	return out
}
