package publish

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/emersion/go-webdav"
)

// Bounds of a talk with a server: how long one answer may take, and how long it may be.
const (
	answerTime  = 30 * time.Second
	answerBytes = 8 << 20
)

// Login is who asks; both are empty where the server asks for nobody. It is sent to the collection's own host alone, and never
// printed.
type Login struct{ User, Password string }

// Collection is a calendar collection on a server.
type Collection struct {
	base  *url.URL
	login Login
	http  http.Client
	dav   *webdav.Client
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
		u.Path += "/"
	}
	c := &Collection{base: u, login: login}
	c.http = http.Client{Timeout: answerTime, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	if c.dav, err = webdav.NewClient(c, u.String()); err != nil {
		return nil, fmt.Errorf("--to: %w", err)
	}
	return c, nil
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
	resp.Body = &bounded{resp.Body, answerBytes}
	return resp, told(resp)
}

// told is what a status that is no success means; nil for one that is, and for 404 and 412, which the caller reads.
func told(resp *http.Response) error {
	code := resp.StatusCode
	if code/100 == 2 || code == http.StatusNotFound || code == http.StatusPreconditionFailed {
		return nil
	}
	resp.Body.Close()
	switch {
	case code/100 == 3:
		return errors.New("the server sends elsewhere, and nothing is sent after it; name the address of the collection itself")
	case code == http.StatusUnauthorized || code == http.StatusForbidden:
		return fmt.Errorf("the server refuses with status %d; look at user, password and rights", code)
	}
	return fmt.Errorf("the server answers with status %d", code)
}

// plain is an error of the network without the address, which the caller names.
func plain(err error) error {
	var u *url.Error
	if errors.As(err, &u) {
		if u.Timeout() {
			return fmt.Errorf("the server did not answer within %s", answerTime)
		}
		return u.Err
	}
	return err
}

type bounded struct {
	io.ReadCloser
	left int64
}

var errLong = fmt.Errorf("the server's answer is over %d bytes", answerBytes)

func (b *bounded) Read(p []byte) (int, error) {
	if b.left <= 0 {
		return 0, errLong
	}
	n, err := b.ReadCloser.Read(p[:min(int64(len(p)), b.left)])
	b.left -= int64(n)
	return n, err
}

// list is the entity tags of what stands in the collection, by UID. A name that is not one of ours, or that leads elsewhere, is
// nobody's business here.
func (c *Collection) list(ctx context.Context) (map[string]string, error) {
	files, err := c.dav.ReadDir(ctx, c.base.Path, false)
	if err != nil {
		return nil, fmt.Errorf("the collection cannot be listed: %w", err)
	}
	out := map[string]string{}
	for _, f := range files {
		name, ok := strings.CutPrefix(f.Path, c.base.Path)
		uid, ours := strings.CutSuffix(name, ".ics")
		if ok && ours && !strings.ContainsAny(uid, "/\\") && !f.IsDir {
			out[uid] = f.ETag
		}
	}
	return out, nil
}

func (c *Collection) request(ctx context.Context, method, uid string, body []byte, header ...string) (*http.Response, error) {
	u := *c.base
	u.Path += uid + ".ics"
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
	data, err = io.ReadAll(resp.Body)
	return data, false, err
}

// put writes an entry where the condition holds: If-None-Match or If-Match. changed says that it did not: somebody was quicker.
func (c *Collection) put(ctx context.Context, uid string, data []byte, condition ...string) (changed bool, err error) {
	resp, err := c.request(ctx, http.MethodPut, uid, data, append([]string{"Content-Type", "text/calendar; charset=utf-8"}, condition...)...)
	if err != nil {
		return false, err
	}
	defer resp.Body.Close()
	if _, err := io.Copy(io.Discard, resp.Body); err != nil {
		return false, err
	}
	if resp.StatusCode == http.StatusNotFound {
		return false, errors.New("the server has no such collection; make it there first")
	}
	return resp.StatusCode == http.StatusPreconditionFailed, nil
}
