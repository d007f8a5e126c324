package followup

import (
	"io"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/unit"
)

type jsonWindow struct {
	Which     string     `json:"which"`
	From      unit.Date  `json:"from"`
	To        unit.Date  `json:"to"`
	Days      int        `json:"days"`
	Readings  int        `json:"readings"`
	Systolic  unit.Dec   `json:"systolic"`
	Diastolic unit.Dec   `json:"diastolic"`
	Noise     *jsonNoise `json:"noise,omitempty"`
	Enough    bool       `json:"enough"`
	Set       string     `json:"set,omitempty"`
	Class     string     `json:"class,omitempty"`
}

type jsonNoise struct {
	Low  unit.Dec `json:"low"`
	High unit.Dec `json:"high"`
}

type jsonChange struct {
	Systolic  unit.Dec   `json:"systolic"`
	Low       unit.Dec   `json:"low"`
	High      unit.Dec   `json:"high"`
	Reliable  unit.Dec   `json:"reliable"`
	Diastolic unit.Dec   `json:"diastolic"`
	Weeks     int        `json:"weeks"`
	Noise     *jsonNoise `json:"noise,omitempty"`
	Selection *unit.Dec  `json:"selection,omitempty"` // what a baseline chosen for being high could fall to by itself
}

type jsonTell struct {
	Who     string            `json:"who"`
	HowSoon string            `json:"howSoon"`
	Why     string            `json:"why"`
	Do      string            `json:"do"`
	Rule    string            `json:"rule"`
	On      unit.Date         `json:"on"`
	Times   int               `json:"times"`
	Closes  []record.Modality `json:"closes,omitempty"`
}

type jsonWeek struct {
	Week     int `json:"week"`
	Due      int `json:"due"`
	Done     int `json:"done"`
	Stopped  int `json:"stopped"`
	GateShut int `json:"gateShut"`
	NotDone  int `json:"notDone"`
}

type jsonIncident struct {
	On      unit.Date `json:"on"`
	What    string    `json:"what"`
	Session string    `json:"session"`
	Load    string    `json:"load,omitempty"`
	Told    bool      `json:"told"` // whether somebody is named as told; who, only text and report say
}

type jsonNext struct {
	Step progress.Step `json:"step"`
	Why  string        `json:"why"`
	Ways []Command     `json:"ways,omitempty"`
}

type jsonProgress struct {
	Version    int                 `json:"version"`
	Client     string              `json:"client"`
	Now        string              `json:"now"`
	Rules      string              `json:"rules"`
	Windows    []jsonWindow        `json:"windows"`
	Change     *jsonChange         `json:"change,omitempty"`
	Verdict    progress.Verdict    `json:"verdict"`
	Because    []string            `json:"because,omitempty"`
	Tell       []jsonTell          `json:"tell"`
	Closed     bool                `json:"closed"`
	Conditions []jsonCondition     `json:"conditions,omitempty"` // the entry that closes training without the log
	Medicines  []jsonMedicine      `json:"medicines,omitempty"`
	Diary      *jsonDiary          `json:"diary,omitempty"`
	Weeks      []jsonWeek          `json:"weeks,omitempty"`
	Incidents  []jsonIncident      `json:"incidents,omitempty"`
	Rows       []record.RowProblem `json:"rows"`
	Next       jsonNext            `json:"next"`
	Cautions   []record.Caution    `json:"cautions"`
}

type jsonMedicine struct {
	On   unit.Date `json:"on"`
	Says string    `json:"says"`
}

type jsonDiary struct {
	Entries  int      `json:"entries"`
	Readings int      `json:"readings"`
	Trained  int      `json:"trained"`
	Strange  int      `json:"notCounted"`
	Held     []string `json:"held,omitempty"`
	Course   string   `json:"course,omitempty"`
}

type jsonCondition struct {
	Code  string    `json:"code"`
	Since unit.Date `json:"since"`
}

// tenth is a number as it is printed for programs: to a tenth.
func tenth(d unit.Dec) unit.Dec { return unit.MustDec(d.Text(1)) }

func reportJSON(w io.Writer, f Report) error {
	out, err := newJSON(f)
	if err != nil {
		return err
	}
	return report.Indented(w, out)
}

func newJSON(f Report) (jsonProgress, error) {
	out := jsonProgress{Version: 1, Client: f.Client, Now: f.Now, Rules: f.Rules, Windows: []jsonWindow{}, Verdict: f.Verdict, Because: f.Because,
		Tell: []jsonTell{}, Rows: f.Rows, Next: jsonNext{f.Next.Step, f.Next.Why, f.Ways}, Cautions: f.Cautions}
	if err := report.CheckCautions(f.Cautions); err != nil {
		return out, err
	}
	for _, x := range f.Windows {
		out.Windows = append(out.Windows, jsonWindow{x.Which, x.From, x.To, x.Days, x.Readings, tenth(x.Systolic), tenth(x.Diastolic), (*jsonNoise)(x.Noise), x.Enough, x.Set, x.Class})
	}
	if c := f.Change; c != nil {
		out.Change = &jsonChange{Systolic: tenth(c.Systolic), Low: c.Low, High: c.High, Reliable: c.Limit, Diastolic: tenth(c.Diastolic), Weeks: f.Weeks, Noise: (*jsonNoise)(c.Noise)}
		if c.Selected != nil {
			s := unit.MustDec(c.Selected.Text(0))
			out.Change.Selection = &s
		}
	}
	for _, t := range f.Tells {
		out.Tell = append(out.Tell, jsonTell{t.Who, t.HowSoon, t.Why, t.Do, t.Rule, t.On, t.Times, t.Closed})
	}
	if c := f.Closing(); c != nil {
		out.Closed, out.Conditions = true, []jsonCondition{{"alert-in-log", c.On}}
	}
	for _, m := range f.Medicines {
		out.Medicines = append(out.Medicines, jsonMedicine(m))
	}
	if e := f.Entered; e != nil && e.Entries > 0 {
		out.Diary = &jsonDiary{Entries: e.Entries, Readings: e.Readings, Trained: e.Trained, Strange: e.Strange}
		for _, h := range e.Held {
			out.Diary.Held = append(out.Diary.Held, h.Says)
		}
		if e.Course != nil {
			out.Diary.Course = progress.Asks(e.Course)
		}
	}
	if f.Training != nil {
		for _, x := range f.Training.Weeks {
			out.Weeks = append(out.Weeks, jsonWeek{x.Week, x.Due, x.Done, x.Stopped, x.GateShut, x.Not})
		}
	}
	for _, x := range f.Incidents {
		out.Incidents = append(out.Incidents, jsonIncident{x.At.Date(), x.What, x.Session, x.Load, x.Told != ""})
	}
	if out.Rows == nil {
		out.Rows = []record.RowProblem{}
	}
	return out, nil
}
