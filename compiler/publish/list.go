package publish

import (
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
)

// asked is what is asked of a collection and of each thing in it.
const asked = `<?xml version="1.0" encoding="utf-8"?>` + "\n" + `<propfind xmlns="DAV:"><prop><resourcetype/><getetag/></prop></propfind>` + "\n"

// multistatus is the part of an answer to PROPFIND (RFC 4918, section 14.16) that is read: servers leave out what they have not,
// and answer for each thing by itself.
type multistatus struct {
	XMLName  xml.Name `xml:"DAV: multistatus"`
	Response []struct {
		Href     string `xml:"DAV: href"`
		Status   string `xml:"DAV: status"`
		Propstat []struct {
			Status string `xml:"DAV: status"`
			Prop   struct {
				ETag string `xml:"DAV: getetag"`
				Type struct {
					Collection *struct{} `xml:"DAV: collection"`
					Calendar   *struct{} `xml:"urn:ietf:params:xml:ns:caldav calendar"`
				} `xml:"DAV: resourcetype"`
			} `xml:"DAV: prop"`
		} `xml:"DAV: propstat"`
	} `xml:"DAV: response"`
}

// list is the entity tags of what stands in the collection, by UID. A name that is not one of ours, or that leads elsewhere, is
// nobody's business here. What is no calendar is an error before anything is written: a server may make a calendar of each entry
// that is put beside its calendars.
func (c *Collection) list(ctx context.Context) (map[string]string, error) {
	files, err := c.propfind(ctx)
	if err != nil {
		return nil, fmt.Errorf("the collection cannot be listed: %w", err)
	}
	out := map[string]string{}
	itself, calendar := false, false
	for _, r := range files.Response {
		at, err := c.base.Parse(strings.TrimSpace(r.Href))
		if err != nil {
			continue
		}
		if strings.Contains(r.Status, " 507") { // there is more than it lists (RFC 6578, section 3.6)
			return nil, errors.New("the server lists a part of the collection alone (status 507); take away from it what is not of this programme")
		}
		tag, folder := "", false
		for _, p := range r.Propstat {
			if !strings.Contains(p.Status, " 200") {
				continue
			}
			if p.Prop.ETag != "" {
				tag = strings.TrimSpace(p.Prop.ETag)
			}
			folder = folder || p.Prop.Type.Collection != nil
			if strings.TrimSuffix(at.Path, "/") == strings.TrimSuffix(c.base.Path, "/") {
				itself, calendar = true, calendar || p.Prop.Type.Calendar != nil
			}
		}
		name, ok := strings.CutPrefix(at.Path, c.base.Path)
		uid, ours := strings.CutSuffix(name, ".ics")
		if ok && ours && len(r.Propstat) > 0 && !folder && !strings.ContainsAny(uid, "/\\") {
			out[uid] = tag
		}
	}
	switch {
	case !itself:
		return nil, errors.New("the server lists another folder than it was asked for; name the collection by the address that the server itself gives it")
	case !calendar:
		return nil, errors.New("the address is that of no calendar, allowed: the address of one calendar collection, such as https://calendar.example/heron-07/training/; make it on the server first")
	}
	return out, nil
}

func (c *Collection) propfind(ctx context.Context) (*multistatus, error) {
	req, err := http.NewRequestWithContext(ctx, "PROPFIND", c.base.String(), strings.NewReader(asked))
	if err != nil {
		return nil, err
	}
	req.Header.Set("Content-Type", "application/xml; charset=utf-8")
	req.Header.Set("Depth", "1")
	resp, err := c.Do(req)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	switch resp.StatusCode {
	case http.StatusMultiStatus:
	case http.StatusNotFound:
		return nil, errNone
	default:
		return nil, fmt.Errorf("the server answers with status %d, allowed: 207, a list; look at the address", resp.StatusCode)
	}
	src, err := io.ReadAll(resp.Body)
	if err != nil {
		return nil, plain(err)
	}
	var out multistatus
	if err := xml.Unmarshal(src, &out); err != nil {
		return nil, errors.New("the answer is no list in XML, as a calendar server gives it (RFC 4918)")
	}
	return &out, nil
}
