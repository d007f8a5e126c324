// Package zone knows the civil time zones: what a wall clock in a place shows, and when it jumps.
//
// A zone is a place's history of offsets from UTC, under its IANA name such as Europe/Lisbon; wall time is what a clock
// on the wall there shows. A clock change skips the wall times of its gap or repeats those of its overlap; a wall time in
// neither is clean.
//
// The zone data is pinned inside the binary (zoneinfo.zip, made by ./gen), because the machine's own differs from one to
// the next in the very dates that a plan covers. Its version is printed wherever a zone is used.
package zone

import (
	"archive/zip"
	_ "embed"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"time"

	"isocue.example/compiler/unit"
)

//go:generate go run ./gen -source /usr/share/zoneinfo -version 2026f -out zoneinfo.zip

//go:embed zoneinfo.zip
var data string

// versionEntry is the archive's text entry that names its release.
const versionEntry = "+VERSION"

// archive is what zoneinfo.zip holds.
type archive struct {
	version string
	names   []string // sorted
	files   map[string]*zip.File
}

// opened panics when the embedded archive cannot be read: that is a broken build, not a caller's mistake.
var opened = sync.OnceValue(func() *archive {
	r, err := zip.NewReader(strings.NewReader(data), int64(len(data)))
	if err != nil {
		panic("zone: the embedded zone data cannot be read: " + err.Error())
	}
	a := &archive{files: make(map[string]*zip.File, len(r.File))}
	for _, f := range r.File {
		if f.Name == versionEntry {
			b, err := content(f)
			if err != nil {
				panic("zone: the version of the embedded zone data cannot be read: " + err.Error())
			}
			a.version = strings.TrimSpace(string(b))
			continue
		}
		a.files[f.Name] = f
		a.names = append(a.names, f.Name)
	}
	slices.Sort(a.names)
	return a
})

func content(f *zip.File) ([]byte, error) {
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	return io.ReadAll(r)
}

// released is when the release was packaged for distribution, by the date of the package that it was taken from; it moves with
// zoneinfo.zip.
var released = unit.DateOf(time.Date(2026, time.October, 29, 0, 0, 0, 0, time.UTC))

// Released is the day from which the age of the zone data counts.
func Released() unit.Date { return released }

// Version is the release of the zone data, such as 2026f.
func Version() string { return opened().version }

// loaded keeps each zone once read: name -> *time.Location.
var loaded sync.Map

// Load is the zone with this IANA name, from the pinned data only. Spelling and case are exact. The error of an unknown
// name lists the nearest ones. Load may be called from several goroutines at once.
func Load(name string) (*time.Location, error) {
	if l, ok := loaded.Load(name); ok {
		return l.(*time.Location), nil
	}
	switch {
	case name == "":
		return nil, fmt.Errorf("the zone is empty, allowed: an IANA name such as Europe/Lisbon")
	case name == "Local":
		return nil, fmt.Errorf(`zone "Local" means whatever machine this runs on, allowed: an IANA name such as Europe/Lisbon`)
	case strings.Contains(name, "..") || strings.ContainsAny(name, "\\\x00"):
		return nil, fmt.Errorf("zone %q is a path, allowed: an IANA name such as Europe/Lisbon", clip(name))
	}
	a := opened()
	f, ok := a.files[name]
	if !ok {
		return nil, unknown(a, name)
	}
	b, err := content(f)
	if err != nil {
		return nil, fmt.Errorf("zone %q cannot be read from the zone data (%s): %w", name, a.version, err)
	}
	l, err := time.LoadLocationFromTZData(name, b)
	if err != nil {
		return nil, fmt.Errorf("zone %q cannot be read from the zone data (%s): %w", name, a.version, err)
	}
	// Two goroutines may read the same zone; both get the one that was kept.
	kept, _ := loaded.LoadOrStore(name, l)
	return kept.(*time.Location), nil
}

func unknown(a *archive, name string) error {
	near := nearest(a.names, name)
	if len(near) == 0 {
		return fmt.Errorf("zone %q is not in the zone data (%s), allowed: an IANA name such as Europe/Lisbon", clip(name), a.version)
	}
	return fmt.Errorf("zone %q is not in the zone data (%s), did you mean %s", clip(name), a.version, strings.Join(near, " or "))
}

// maxName bounds the name that is compared and repeated; the longest in the data has 32 bytes.
const maxName = 64

func clip(name string) string {
	if len(name) > maxName {
		return name[:maxName] + "..."
	}
	return name
}
