package load

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

func top(name string) finding.Pos { return finding.Pos{File: name, Line: 1, Column: 1} }

// tooLarge refuses a file by its bounds.
func (f *File) tooLarge(over *bound.Over) finding.Finding {
	return finding.Finding{Rule: Unreadable, Verdict: finding.Malformed, Pos: top(f.Name), Message: over.Message(),
		Remedy: "keep the file elsewhere and begin a new one with what still goes on", Rationale: "Nobody could read it through, and an honest diary is far smaller."}
}

// digestOf names an entry without an id: two writers who wrote the same wrote one entry, whatever the order of its fields.
func digestOf(n *tree.Node) string {
	b, err := json.Marshal(sorted(n))
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// sorted is a tree with the fields of every record in one order.
func sorted(n *tree.Node) *tree.Node {
	switch n.Kind {
	case tree.Record:
		out := tree.NewRecord()
		for _, k := range slices.Sorted(maps.Keys(n.Field)) {
			out.Link(k, sorted(n.Field[k]))
		}
		return out
	case tree.List:
		out := tree.NewList()
		for _, e := range n.Elem {
			out.Elem = append(out.Elem, sorted(e))
		}
		return out
	case tree.Number:
		return tree.Num(n.Num)
	}
	return n
}

// clock reads a time of day; the schema says what is wrong with its form.
func (f *File) clock(n *tree.Node) *unit.Clock {
	c, err := unit.ParseClock(n.Text())
	if err != nil {
		return nil
	}
	if c == 24*60 {
		f.add(n, Shape, fmt.Sprintf("%s is 24:00, allowed: 00:00 to 23:59", n.Path()), "write 00:00 and the next day")
	}
	return &c
}

// happened reads what an entry says happened.
func (f *File) happened(n *tree.Node, e *record.Entry) {
	switch e.What {
	case record.Ill, record.Felt:
		e.Words = n.Text()
	case record.Asked:
		e.Answers = &record.Screening{Set: n.Get("questions").Whole(), Answers: answersOf(n.Get("answers"))}
	case record.Read:
		if f.reading(n, e); e.Time == nil {
			f.add(n, Shape, "the reading has no time, allowed: the time of day in the entry", "add time: \"07:30\"")
		}
	case record.GripIs:
		t := gripTest(n)
		t.Date, e.Grip = e.Date, &t
	case record.MouthIs:
		t := inspiratoryTest(n)
		t.Date, e.Inspiratory = e.Date, &t
	case record.SquatIs:
		t := f.squatTest(n)
		t.Date, e.Squat = e.Date, &t
	case record.WalkingIs:
		e.Walking = &record.WalkingLevel{Date: e.Date, Minutes: n.Get("minutesPerWeek").Whole()}
	case record.HasDevice:
		e.Device = f.device(n)
	case record.HasMedicine:
		e.Medicine = &record.MedicineChange{Class: n.Get("class").Text(), Name: n.Get("name").Text(), Change: n.Get("change").Text()}
	case record.Begins, record.Over:
		e.Condition = &record.Condition{Code: n.Get("code").Text(), Side: record.Hand(n.Get("side").Text()), Since: e.Date}
	case record.Cleared:
		c := f.clearance(n)
		e.Clearance = &c
	case record.Limited:
		f.date(n.Get("date"))
		e.Limits = &record.Limits{Systolic: n.Get("systolic").Whole(), Diastolic: n.Get("diastolic").Whole()}
	case record.Moved:
		e.Move = &record.Move{Zone: n.Get("zone").Text(), Emergency: n.Get("emergency").Text()}
		if _, err := zone.Load(e.Move.Zone); err != nil {
			f.add(n.Get("zone"), Shape, err.Error(), "write the IANA name of the client's zone, such as Europe/Lisbon")
		}
	case record.HoursAre:
		for _, h := range n.Items() {
			e.Hours = append(e.Hours, f.stretch(h))
		}
	case record.ContactsAre:
		e.Contacts = map[string]string{}
		for _, k := range n.Keys {
			e.Contacts[k] = n.Field[k].Text()
		}
	case record.Paused:
		e.Pause = &record.Span{From: f.date(n.Get("from")), To: f.date(n.Get("to"))}
		if e.Pause.To != 0 && e.Pause.To < e.Pause.From {
			f.add(n.Get("to"), Shape, fmt.Sprintf("%s is %s, allowed: not before %s", n.Get("to").Path(), e.Pause.To, e.Pause.From), "exchange the two dates")
		}
	case record.Lighter:
		e.Protocol = n.Get("protocol").Text()
	case record.CourseIs:
		e.Course = f.newCourse(n)
	case record.DidTrain:
		e.Trained = &record.TrainedNote{Protocol: n.Get("protocol").Text(), Time: f.clock(n.Get("time")), Outcome: record.Outcome(n.Get("outcome").Text())}
		if e.Trained.Outcome == "done" {
			e.Trained.Outcome = record.Completed
		}
	case record.Taught:
		e.Modality = record.Modality(n.Get("modality").Text())
	case record.Told:
		e.Told = &record.ToldNote{Who: n.Get("who").Text(), About: texts(n.Get("about")), Reached: n.Get("reached") != nil && n.Get("reached").Bool}
	case record.Understood:
		e.Understood = f.readNote(n)
	case record.Void:
		e.Void = &record.VoidNote{Entry: n.Get("entry").Text(), Why: n.Get("why").Text()}
	}
}

func texts(n *tree.Node) (out []string) {
	for _, x := range n.Items() {
		out = append(out, x.Text())
	}
	return out
}

func answersOf(n *tree.Node) map[string]string {
	out := map[string]string{}
	if n != nil {
		for _, k := range n.Keys {
			out[k] = n.Field[k].Text()
		}
	}
	return out
}

func (f *File) reading(n *tree.Node, e *record.Entry) {
	r := &record.LogReading{Systolic: n.Get("systolic").Whole(), Diastolic: n.Get("diastolic").Whole(), Pulse: n.Get("pulse").Whole(), Arm: record.Hand(n.Get("arm").Text()),
		Cuff: n.Get("cuff").Text(), Standing: n.Get("posture").Text() == "standing", Clinic: n.Get("setting").Text() == "clinic", Note: e.Note, Noted: true, File: f.Name, Line: e.Line, Column: n.Pos.Column}
	if e.Time != nil {
		r.At = unit.At(e.Date, *e.Time)
	}
	f.lowerNumber(n.Get("diastolic"), r.Systolic)
	e.Reading = r
}

// device reads what the client has at home from a day on.
func (f *File) device(n *tree.Node) *record.Device {
	d := &record.Device{Instead: n.Get("instead").Text()}
	has := 0
	if g := n.Get("grip"); g != nil {
		has++
		x := gauge(g)
		f.date(g.Get("checked"))
		d.Gauge = &x
	}
	if t := n.Get("inspiratory"); t != nil {
		has++
		x := trainer(t)
		d.Trainer = &x
	}
	if c := n.Get("cuff"); c != nil {
		has++
		d.Cuff = &record.Cuff{Arm: record.Hand(c.Get("arm").Text()), Size: c.Get("size").Text(), Validated: c.Get("validated") != nil && c.Get("validated").Bool}
	}
	if has != 1 {
		f.add(n, Shape, fmt.Sprintf("device has %d of grip, inspiratory and cuff, allowed: exactly one", has), "write an entry for each device")
	}
	return d
}

func (f *File) newCourse(n *tree.Node) *record.NewCourse {
	c := &record.NewCourse{Protocols: texts(n.Get("protocols")), Start: f.date(n.Get("start")), Add: n.Get("add") != nil, Replaces: n.Get("replaces") != nil}
	if c.Add && c.Replaces {
		f.add(n.Get("replaces"), Shape, "the course says both add and replaces, allowed: one of the two", "keep add for a course beside the one that runs, replaces for one in its place")
	}
	return c
}

func (f *File) readNote(n *tree.Node) *record.ReadNote {
	r := &record.ReadNote{Entry: n.Get("entry").Text(), Finding: n.Get("finding").Text()}
	at, err := unit.ParseLocal(n.Get("row").Text())
	if n.Get("row") != nil && err != nil {
		f.add(n.Get("row"), Shape, fmt.Sprintf("read.row is %s, allowed: a day and time that exist", n.Get("row").Raw), "correct the date")
	}
	r.Row = at
	if (n.Get("entry") == nil) == (n.Get("row") == nil) {
		f.add(n, Shape, "read names an entry and a row, or neither; allowed: one of the two", "name the entry by its id, or the row of the log by its moment")
	}
	return r
}
