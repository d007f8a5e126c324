package publish

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"

	"isocue.example/compiler/bound"
)

// longWinded lists what it is told to, and answers for each entry with a text of some length.
type longWinded struct {
	listed, length int
	served         int64
}

func (s *longWinded) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.Method != "PROPFIND" {
		n, _ := io.WriteString(w, strings.Repeat("x", s.length))
		s.served += int64(n)
		return
	}
	w.WriteHeader(http.StatusMultiStatus)
	fmt.Fprint(w, `<multistatus xmlns="DAV:"><response><href>/cal/</href><propstat><prop><resourcetype><collection/><calendar xmlns="urn:ietf:params:xml:ns:caldav"/></resourcetype></prop><status>HTTP/1.1 200 OK</status></propstat></response>`)
	for i := range s.listed {
		fmt.Fprintf(w, `<response><href>/cal/e%d.ics</href><propstat><prop><resourcetype/></prop><status>HTTP/1.1 200 OK</status></propstat></response>`, i)
	}
	fmt.Fprint(w, `</multistatus>`)
}

// What a server answers is bounded: one answer, all of a run, and how much it lists. Source: package bound.
func TestAnswersAreBounded(t *testing.T) {
	many := make([]string, 2000)
	for i := range many {
		many[i] = event(fmt.Sprintf("e%d", i), "1", "CONFIRMED")
	}
	for _, x := range []struct {
		why, want      string
		listed, length int
		most           int64
	}{
		{"one entry that is longer than a plan's longest", fmt.Sprintf("the server's answer has more than %d bytes, allowed: at most %d", bound.Answer, bound.Answer), 1, bound.Answer + 1, bound.Answer + 1},
		{"two thousand entries, each as long as one may be", fmt.Sprintf("the server's answers of this run have more than %d bytes, allowed: at most %d", bound.Answers, bound.Answers), 2000, bound.Answer, bound.Answers + 2*bound.Answer},
		{"a list of more than any plan has", fmt.Sprintf("the server lists more than %d things, allowed: at most %d", bound.Listed, bound.Listed), bound.Listed + 1, 1, 0},
	} {
		s := &longWinded{listed: x.listed, length: x.length}
		_, err := at(t, s).Run(context.Background(), entriesOf(t, many...), Sent{}, Options{})
		var over *bound.Over
		if !errors.As(err, &over) || !strings.Contains(err.Error(), x.want) || s.served > x.most {
			t.Errorf("%s: %v after %d bytes, want %q after at most %d", x.why, err, s.served, x.want, x.most)
		}
	}
}

// An answer of exactly the bound is read whole.
func TestAnswerAtTheBound(t *testing.T) {
	s := &longWinded{listed: 1, length: bound.Answer}
	if got := counts(t, at(t, s), entriesOf(t, event("e0", "1", "CONFIRMED")), Sent{}, Options{}); got != "1 edited" {
		t.Error(got)
	}
}

// No variable of the environment sends an entry to a host that the command did not name.
func TestNoProxy(t *testing.T) {
	c, err := Open("https://a.example/cal/", Login{})
	if err != nil {
		t.Fatal(err)
	}
	if tr, ok := c.http.Transport.(*http.Transport); !ok || tr.Proxy != nil {
		t.Error("a proxy of the environment would be asked")
	}
}

// A run that is killed in its middle kept nothing of what it sent, but said before what it would send: the next plan cancels all of it.
func TestKilledRunIsKnown(t *testing.T) {
	s := &shelf{items: map[string]string{}}
	c := at(t, s)
	es := entriesOf(t, event("a", "1", "CONFIRMED"), event("b", "2", "CONFIRMED"), event("c", "3", "CONFIRMED"))
	var begun Begun
	first := func() error { begun = Begun(nil).Begin(es, Sent{}); return nil }
	if got := counts(t, c, es[:2], Sent{}, Options{First: first}); got != "2 created" || len(begun) != 3 {
		t.Fatal(got, begun)
	} // and here it is killed: what it sent is lost
	s.items["b.ics"] = strings.ReplaceAll(s.items["b.ics"], "SUMMARY:2", "SUMMARY:dentist")
	stopped := entriesOf(t, event("a", "1", "CANCELLED"), event("b", "2", "CANCELLED"), event("c", "3", "CANCELLED"))
	if got := counts(t, c, stopped, Sent{}, Options{Begun: begun}); got != "1 cancelled, 1 unchanged, 1 edited" {
		t.Error(got)
	}
	if !strings.Contains(s.items["a.ics"], "CANCELLED") || !strings.Contains(s.items["b.ics"], "dentist") {
		t.Error(s.items)
	}
}

// Nothing is written where what would be sent cannot be kept first.
func TestNothingIsSentUnkept(t *testing.T) {
	s := &shelf{items: map[string]string{}}
	_, err := at(t, s).Run(context.Background(), entriesOf(t, event("a", "1", "CONFIRMED")), Sent{}, Options{First: func() error { return errStopped }})
	if err == nil || s.puts > 0 {
		t.Error(err, s.puts)
	}
}
