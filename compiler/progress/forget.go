package progress

import "strings"

// Forget drops what was written in the logs and keeps what was found in them, so that a folder of many clients holds facts, not texts. A
// text that is kept is copied out of the file in which it stands, which could not be let go otherwise.
func (f *Followed) Forget() {
	for _, l := range f.Logs {
		l.Readings, l.Sessions = nil, nil
		for i := range l.Columns {
			l.Columns[i].Heading = strings.Clone(l.Columns[i].Heading)
		}
	}
	for i := range f.Home {
		x := &f.Home[i]
		x.Note, x.Symptoms, x.Cuff = "", "", strings.Clone(x.Cuff)
	}
	for i := range f.Events {
		f.Events[i].Session = nil
	}
	for i := range f.Incidents {
		x := &f.Incidents[i]
		x.UID, x.Told = strings.Clone(x.UID), strings.Clone(x.Told)
	}
	for i := range f.Windows {
		f.Windows[i].Cuff = strings.Clone(f.Windows[i].Cuff)
	}
}
