package publish

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"
	"time"

	"isocue.example/compiler/bound"
)

// answerTime is how long one answer may take; package bound says how long it may be.
const answerTime = 30 * time.Second

// Login is who asks; both are empty where the server asks for nobody. It is sent to the collection's own host alone, and never
// printed.
type Login struct{ User, Password string }

// Collection is a calendar collection on a server.
type Collection struct {
	base  *url.URL
	login Login
	http  http.Client
	wrote bool  // something, in this run
	left  int64 // bytes that the server may still answer with
}

// Open checks an address before anything is sent. It must name a folder, by https, or by http on this machine alone.
func Open(address string, login Login) (*Collection, error) {
	u, err := url.Parse(address)
	switch {
	case err != nil || u.Host == "" || u.Opaque != "":
		return nil, errors.New("--to is no address, allowed: the address of a calendar collection, such as https://calendar.example/heron-07/training/")
	case u.User != nil:
		return nil, errors.New("--to holds a user or a password, allowed: an address without; they come from the environment or a file")
	case u.RawQuery != "" || u.Fragment != "":
		return nil, errors.New("--to has a query or a fragment, allowed: an address that ends with its path")
	case u.Scheme != "https" && !(u.Scheme == "http" && loopback(u.Hostname())):
		return nil, fmt.Errorf("--to begins with %s://, allowed: https://, since pressures and passwords would be read on the way; http:// only on this machine", u.Scheme)
	}
	if !strings.HasSuffix(u.Path, "/") {
		u = u.JoinPath("/") // which keeps what is escaped as it is
	}
	c := &Collection{base: u, login: login, left: bound.Answers}
	direct := http.DefaultTransport.(*http.Transport).Clone()
	direct.Proxy = nil // a variable of the environment is no host that the command named
	direct.MaxResponseHeaderBytes = bound.AnswerHead
	c.http = http.Client{Transport: direct, Timeout: answerTime, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	return c, nil
}

// Key is a digest of the collection's address, which tells one collection from another and says nothing of it.
func (c *Collection) Key() string {
	sum := sha256.Sum256([]byte(c.base.String()))
	return hex.EncodeToString(sum[:])
}

func loopback(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// Do sends one request to the collection's host and to no other, follows no redirect, and cuts a long answer off.
func (c *Collection) Do(req *http.Request) (*http.Response, error) {
	if req.URL.Host != c.base.Host || req.URL.Scheme != c.base.Scheme || !strings.HasPrefix(req.URL.Path, c.base.Path) {
		return nil, errors.New("a request would leave the collection")
	}
	if c.login.User != "" {
		req.SetBasicAuth(c.login.User, c.login.Password)
	}
	resp, err := c.http.Do(req)
	if err != nil {
		return nil, plain(err)
	}
	most := bound.Answer
	if req.Method == "PROPFIND" {
		most = bound.Listing
	}
	resp.Body = &bounded{resp.Body, most, int64(most), &c.left}
	return resp, c.told(resp)
}

// errNone is what a collection that is not there means.
var errNone = errors.New("the server has no such collection; make it there first")

// meant is what some statuses say of an entry or a collection, and what to do about it (RFC 9110, RFC 4918, RFC 4791).
var meant = map[int]string{
	http.StatusForbidden:             "the server refuses with status 403; look at user, password and rights",
	http.StatusMethodNotAllowed:      "the server takes no calendars at this address (status 405); look at the address",
	http.StatusConflict:              "the server sees a conflict (status 409); an entry of the same UID may stand there under another name, as after an import: take it away",
	http.StatusRequestEntityTooLarge: "the entry is too large for the server (status 413); ask who runs it",
	http.StatusLocked:                "the collection is locked on the server (status 423); try again later",
	http.StatusTooManyRequests:       "the server was asked too often (status 429); try again later",
	http.StatusServiceUnavailable:    "the server is not ready (status 503); try again later",
	http.StatusInsufficientStorage:   "the server has no room left (status 507); make room there",
}

// told is what a status that is no success means; nil for one that is, and for 404 and 412, which the caller reads. Nothing that
// the server writes is repeated.
func (c *Collection) told(resp *http.Response) error {
	code := resp.StatusCode
	if code/100 == 2 || code == http.StatusNotFound || code == http.StatusPreconditionFailed {
		return nil
	}
	resp.Body.Close()
	switch ways := strings.ToLower(strings.Join(resp.Header.Values("WWW-Authenticate"), " ")); {
	case code/100 == 3:
		return errors.New("the server sends elsewhere, and nothing is sent after it; name the address of the collection itself")
	case code == http.StatusUnauthorized && c.login.User == "":
		return errors.New("the server asks who you are (status 401), and no user was given; give user and password")
	case code == http.StatusUnauthorized && ways != "" && !strings.Contains(ways, "basic"):
		return errors.New("the server asks for another login than user and password as they are (status 401); let it take Basic (RFC 7617)")
	case code == http.StatusUnauthorized:
		return errors.New("the server refuses with status 401; look at user, password and rights")
	case meant[code] != "":
		return errors.New(meant[code])
	}
	return fmt.Errorf("the server answers with status %d", code)
}

// plain is an error of the network without the address, which the caller names.
func plain(err error) error {
	var u *url.Error
	var late net.Error
	switch {
	case errors.Is(err, context.Canceled):
		return errStopped
	case errors.As(err, &late) && late.Timeout():
		return fmt.Errorf("the server did not answer within %s", answerTime)
	case errors.As(err, &u):
		return u.Err
	}
	return err
}

var errStopped = errors.New("it was stopped")

// bounded is an answer that is cut off at its bound, and at that of all answers of the run.
type bounded struct {
	io.ReadCloser
	most int
	left int64
	all  *int64
}

func (b *bounded) Read(p []byte) (int, error) {
	n, err := b.ReadCloser.Read(p[:min(int64(len(p)), b.left+1, *b.all+1)])
	b.left -= int64(n)
	*b.all -= int64(n)
	switch {
	case b.left < 0:
		return 0, tooLong("the server's answer has", b.most)
	case *b.all < 0:
		return 0, tooLong("the server's answers of this run have", bound.Answers)
	}
	return n, err
}

func tooLong(what string, most int) error {
	return &bound.Over{What: what, Has: most, AtLeast: true, Of: "bytes", Most: most, Then: "look at the address: a calendar server answers more briefly"}
}

func (c *Collection) request(ctx context.Context, method, uid string, body []byte, header ...string) (*http.Response, error) {
	u := c.base.JoinPath(uid + ".ics")
	req, err := http.NewRequestWithContext(ctx, method, u.String(), bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	for i := 0; i+1 < len(header); i += 2 {
		req.Header.Set(header[i], header[i+1])
	}
	return c.Do(req)
}

// get is an entry as the server has it; gone where it has none.
func (c *Collection) get(ctx context.Context, uid string) (data []byte, gone bool, err error) {
	resp, err := c.request(ctx, http.MethodGet, uid, nil, "Accept", "text/calendar")
	if err != nil {
		return nil, false, err
	}
	defer resp.Body.Close()
	if resp.StatusCode == http.StatusNotFound {
		return nil, true, nil
	}
	if data, err = io.ReadAll(resp.Body); err != nil {
		return nil, false, plain(err)
	}
	return data, false, nil
}

// put writes an entry where the condition holds: If-None-Match or If-Match. changed says that it did not: somebody was quicker. It
// goes to its end though the run is stopped meanwhile.
func (c *Collection) put(ctx context.Context, uid string, data []byte, condition ...string) (changed bool, err error) {
	resp, err := c.request(context.WithoutCancel(ctx), http.MethodPut, uid, data, append([]string{"Content-Type", "text/calendar; charset=utf-8"}, condition...)...)
	if err != nil {
		return false, err
	}
	defer resp.Body.Close()
	if _, err := io.Copy(io.Discard, resp.Body); err != nil {
		return false, plain(err)
	}
	if resp.StatusCode == http.StatusNotFound {
		return false, errNone
	}
	return resp.StatusCode == http.StatusPreconditionFailed, nil
}
