package cli

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
)

// calendars is a made-up server: a calendar in each folder, of which nothing but names and contents are kept.
type calendars struct {
	sync.Mutex
	items map[string]string
}

func (s *calendars) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	s.Lock()
	defer s.Unlock()
	switch item, there := s.items[r.URL.Path]; r.Method {
	case "PROPFIND":
		w.WriteHeader(http.StatusMultiStatus)
		fmt.Fprintf(w, `<multistatus xmlns="DAV:"><response><href>%s</href><propstat><prop><resourcetype><collection/><calendar xmlns="urn:ietf:params:xml:ns:caldav"/></resourcetype></prop><status>HTTP/1.1 200 OK</status></propstat></response>`, r.URL.Path)
		for name := range s.items {
			if strings.HasPrefix(name, r.URL.Path) {
				fmt.Fprintf(w, `<response><href>%s</href><propstat><prop><resourcetype/></prop><status>HTTP/1.1 200 OK</status></propstat></response>`, name)
			}
		}
		fmt.Fprint(w, `</multistatus>`)
	case http.MethodGet:
		if !there {
			w.WriteHeader(http.StatusNotFound)
		}
		fmt.Fprint(w, item)
	case http.MethodPut:
		b, _ := io.ReadAll(r.Body)
		s.items[r.URL.Path] = string(b)
	}
}

// A plan may go to several collections: what was sent to one says nothing of another. An entry that the client edited and the
// plan cancels is told by its day, with a warning. Beside the plan stands no address and no word of it.
func TestPublishSeveral(t *testing.T) {
	s := &calendars{items: map[string]string{}}
	srv := httptest.NewServer(s)
	defer srv.Close()
	pack := filepath.Join(t.TempDir(), "pack")
	plan := filepath.Join(pack, "plan.json")
	run := func(code int, want string, args ...string) string {
		t.Helper()
		var out, errw bytes.Buffer
		if got := Run(args, strings.NewReader(""), &out, &errw); got != code || !strings.Contains(out.String(), want) {
			t.Fatalf("%v ended with %d, want %d and %q: %s%s", args, got, code, want, out.String(), errw.String())
		}
		return out.String()
	}
	run(0, "", "compile", "handgrip-alternating", "--client", filepath.Join("..", "..", "..", "testdata", "demo", "client.yaml"),
		"--start", "2027-01-04", "--now", "2027-01-03T09:00:00Z", "--pack", pack)
	first, second := srv.URL+"/heron/", srv.URL+"/quill/"
	run(0, "36 created, 0 updated, 0 unchanged\n", "publish", plan, "--to", first)
	run(0, "36 created, 0 updated, 0 unchanged\n", "publish", plan, "--to", second)
	run(0, "0 created, 0 updated, 36 unchanged\n", "publish", plan, "--to", strings.TrimSuffix(first, "/"))
	state, err := os.ReadFile(plan + ".published")
	if err != nil || bytes.Contains(state, []byte("heron")) || bytes.Contains(state, []byte("127.0.0.1")) || bytes.Contains(state, []byte("handgrip")) {
		t.Errorf("%v: %.300s", err, state)
	}
	for name, item := range s.items {
		if strings.HasPrefix(name, "/heron/") && strings.Contains(item, ":20270111T070000") {
			s.items[name] = strings.Replace(item, ":20270111T070000", ":20270112T180000", 1)
		}
	}
	third := srv.URL + "/third/"
	run(0, "", "publish", plan, "--to", third)
	for name := range s.items {
		if strings.HasPrefix(name, "/third/") {
			delete(s.items, name)
		}
	}
	out := run(1, " past\n", "publish", plan, "--to", third, "--now", "2027-01-20T09:00:00Z")
	if !regexp.MustCompile(`\nremoved on the server and left so: 2027-0[23]-[^\n]*\nedited or taken away on the server, of days that are over, and left so: 6 before and 2027-01-15 07:00, 2027-01-18, 2027-01-18 07:00; nothing is to be done\nask the client why`).MatchString(out) {
		t.Error(out)
	}
	run(0, "", "compile", "--previous", plan, "--stop", "2027-01-05", "--now", "2027-01-04T23:00:00Z", "--pack", pack)
	const before, after = "2027-01-10T09:00:00Z", "2027-01-13T09:00:00Z" // the days for which and to which it was moved
	out = run(1, "1 edited\n", "publish", plan, "--to", first, "--now", before)
	if !regexp.MustCompile(`edited on the server and left so: 2027-01-11 07:00, [0-9a-f-]{36}; the plan cancels it: tell the client not to train by it\n`).MatchString(out) {
		t.Error(out)
	}
	// once both days are over it is told without failing, in one line however many there are
	out = run(0, " 1 past\n", "publish", plan, "--to", first, "--now", after)
	if !strings.Contains(out, "edited or taken away on the server, of days that are over, and left so: 2027-01-11 07:00; nothing is to be done\n") || strings.Contains(out, "--force") {
		t.Error(out)
	}
	if out := run(0, "cancelled", "publish", plan, "--to", second); strings.Contains(out, "edited") {
		t.Error(out)
	}
	if err := os.WriteFile(plan+".published", []byte(`{"version":1,"published":{}}`), 0o600); err != nil {
		t.Fatal(err)
	}
	run(2, "", "publish", plan, "--to", first)
}

// A file of user and password as other systems' editors write it.
func TestLoginFile(t *testing.T) {
	name := filepath.Join(t.TempDir(), "login")
	for _, text := range []string{"heron\nmade up\n", "\xef\xbb\xbfheron\r\nmade up\r\n", "heron\nmade up"} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if l, err := readLogin(name); err != nil || l.User != "heron" || l.Password != "made up" {
			t.Errorf("%q: %q, %v", text, l, err)
		}
	}
}
