package publish

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// What servers may answer, by their standards, is read: weak tags, things without a length, things that are gone meanwhile.
// Sources: RFC 9110, sections 8.8.1 and 13.1.1; RFC 4918, sections 9.1 and 14.24.
func TestOtherServers(t *testing.T) {
	one := func(summary string) []Entry { return entriesOf(t, event("a", summary, "CONFIRMED")) }
	for why, s := range map[string]*shelf{
		"weak tags": {weak: true},
		"one thing is gone meanwhile": {extra: `<response><href>/cal/b.ics</href><status>HTTP/1.1 404 Not Found</status></response>` +
			`<response><href>/cal/c.ics</href><propstat><prop><getetag/></prop><status>HTTP/1.1 404 Not Found</status></propstat></response>`},
		"whole addresses":         {at: "http://127.0.0.1/cal/"},
		"a folder without stroke": {at: "/cal"},
	} {
		s.items = map[string]string{}
		c, sent := at(t, s), Sent{}
		got := counts(t, c, one("1"), sent, Options{}) + "; " + counts(t, c, one("1"), sent, Options{}) + "; " + counts(t, c, one("2"), sent, Options{})
		if got != "1 created; 1 unchanged; 1 updated" {
			t.Errorf("%s: %s", why, got)
		}
	}
}

// Only a calendar is written into. Source: RFC 4791, section 4.2: a calendar collection says in its type that it is one; and
// radicale, which makes a calendar of each entry that is put beside its calendars.
func TestNoCalendar(t *testing.T) {
	for want, s := range map[string]*shelf{
		"is that of no calendar":   {kind: `<collection/><principal/>`},
		"lists another folder":     {at: "/inside/cal/"},
		"a part of the collection": {extra: `<response><href>/cal/</href><status>HTTP/1.1 507 Insufficient Storage</status></response>`},
	} {
		s.items = map[string]string{}
		_, err := at(t, s).Run(context.Background(), entriesOf(t, event("a", "1", "CONFIRMED")), Sent{}, Options{})
		if err == nil || !strings.Contains(err.Error(), want) || s.puts > 0 {
			t.Errorf("%v after %d writes, want %q", err, s.puts, want)
		}
	}
}

// A status is told by what it means and what to do, and nothing of the answer's text is repeated.
func TestStatuses(t *testing.T) {
	for _, x := range []struct {
		code      int
		way, want string
	}{
		{401, `Basic realm="x"`, "look at user, password"}, {401, `Digest realm="x"`, "let it take Basic"}, {403, "", "look at user, password and rights"},
		{404, "", "make it there first"}, {405, "", "look at the address"}, {409, "", "the same UID"}, {423, "", "locked"}, {429, "", "later"},
		{200, "", "allowed: 207"}, {500, "", "status 500"}, {503, "", "later"}, {507, "", "no room"},
	} {
		c := at(t, http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
			if x.way != "" {
				w.Header().Set("WWW-Authenticate", x.way)
			}
			w.WriteHeader(x.code)
			fmt.Fprint(w, "words of the server")
		}))
		_, err := c.Run(context.Background(), entriesOf(t, event("a", "1", "CONFIRMED")), Sent{}, Options{})
		if err == nil || !strings.Contains(err.Error(), x.want) || strings.Contains(err.Error(), "words of") {
			t.Errorf("%d: %v, want %q", x.code, err, x.want)
		}
	}
	c := at(t, http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusUnauthorized) }))
	c.login = Login{}
	if _, err := c.list(context.Background()); err == nil || !strings.Contains(err.Error(), "no user was given") {
		t.Error(err)
	}
}

// An address goes to the server as it was written: an escaped stroke is no stroke. Source: RFC 3986, section 2.2.
func TestEscapedAddress(t *testing.T) {
	var asked []string
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked = append(asked, r.URL.EscapedPath())
		if r.Method == "PROPFIND" {
			w.WriteHeader(http.StatusMultiStatus)
			fmt.Fprint(w, `<multistatus xmlns="DAV:"><response><href>/u/a%2fb%40c/</href><propstat><prop><resourcetype><collection/><calendar xmlns="urn:ietf:params:xml:ns:caldav"/></resourcetype></prop><status>HTTP/1.1 200 OK</status></propstat></response></multistatus>`)
		}
	}))
	defer srv.Close()
	for _, end := range []string{"", "/"} {
		asked = nil
		c, err := Open(srv.URL+"/u/a%2fb%40c"+end, Login{})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := c.Run(context.Background(), entriesOf(t, event("x", "1", "CONFIRMED")), Sent{}, Options{}); err != nil {
			t.Error(err)
		}
		if strings.Join(asked, " ") != "/u/a%2fb%40c/ /u/a%2fb%40c/x.ics" {
			t.Error(asked)
		}
	}
}

// Two runs of the same plan at once: what the other was quicker with is no edit.
func TestTwoAtOnce(t *testing.T) {
	s := &shelf{items: map[string]string{}}
	c, sent := at(t, s), Sent{}
	es := entriesOf(t, event("a", "1", "CONFIRMED"), event("b", "2", "CONFIRMED"), event("c", "3", "CONFIRMED"))
	s.then = func() {
		s.items["b.ics"], s.items["c.ics"] = string(es[1].Data), strings.ReplaceAll(string(es[2].Data), "3", "dentist")
	}
	if got := counts(t, c, es, sent, Options{}); got != "1 created, 1 unchanged, 1 edited" || len(sent) != 2 {
		t.Error(got, sent)
	}
}

// A run that is stopped ends the entry at hand, says so, and keeps what was sent.
func TestStopped(t *testing.T) {
	s := &shelf{items: map[string]string{}}
	c, sent := at(t, s), Sent{}
	ctx, stop := context.WithCancel(context.Background())
	s.then = stop
	done, err := c.Run(ctx, entriesOf(t, event("a", "1", "CONFIRMED"), event("b", "2", "CONFIRMED")), sent, Options{})
	if err == nil || !strings.Contains(err.Error(), "stopped") || len(done) != 1 || len(sent) != 1 || s.puts != 1 {
		t.Errorf("%v, %v, %v after %d writes", err, done, sent, s.puts)
	}
}

func TestWhen(t *testing.T) {
	for value, want := range map[string]string{"20270104T070000": "2027-01-04 07:00", "20270104T070000Z": "2027-01-04 07:00", "20270104": "2027-01-04", "x": "x"} {
		if got := when(value); got != want {
			t.Errorf("%s: %s, want %s", value, got, want)
		}
	}
	if es := entriesOf(t, event("a", "1", "CONFIRMED")); es[0].When != "2027-01-04 07:00" {
		t.Error(es[0].When)
	}
}
