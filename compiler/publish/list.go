package publish

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"

	"isocue.example/compiler/bound"
)

// asked is what is asked of a collection and of each thing in it.
const asked = `<?xml version="1.0" encoding="utf-8"?>` + "\n" + `<propfind xmlns="DAV:"><prop><resourcetype/><getetag/></prop></propfind>` + "\n"

// response is the part of an answer to PROPFIND (RFC 4918, section 14.16) about one thing that is read: servers leave out what they
// have not.
type response struct {
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
	for _, r := range files {
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

func (c *Collection) propfind(ctx context.Context) ([]response, error) {
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
	return readListing(src)
}

var errNoList = errors.New("the answer is no list in XML, as a calendar server gives it (RFC 4918)")

// readListing reads one response after the other, so that a list without end is given up at its bound and not held in memory.
func readListing(src []byte) (out []response, err error) {
	d, inside, parts := xml.NewDecoder(bytes.NewReader(src)), false, 0
	for {
		t, err := d.Token()
		switch x := t.(type) {
		case xml.StartElement:
			if parts++; parts > bound.Listed {
				return nil, &bound.Over{What: "the server lists", Has: bound.Listed, AtLeast: true, Of: "things", Most: bound.Listed, Then: "give the programme a collection of its own"}
			}
			switch {
			case !inside:
				if inside = x.Name == (xml.Name{Space: "DAV:", Local: "multistatus"}); !inside {
					return nil, errNoList
				}
			case x.Name == xml.Name{Space: "DAV:", Local: "response"}:
				var r response
				if d.DecodeElement(&r, &x) != nil || len(r.Propstat) > bound.ListedParts {
					return nil, errNoList
				}
				out = append(out, r)
			case d.Skip() != nil:
				return nil, errNoList
			}
		}
		switch {
		case err == io.EOF && inside:
			return out, nil
		case err != nil:
			return nil, errNoList
		}
	}
}
