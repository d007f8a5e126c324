// Command gen packs a folder of compiled zone files into the archive that package zone embeds.
//
// A zone file is what the zone compiler of the public-domain time zone database writes: it starts with "TZif". The
// archive is pinned so that a calendar does not depend on the machine: time.LoadLocation prefers $ZONEINFO and the
// system's own files over any copy inside the binary, and releases differ in the very dates that a plan covers. To
// move to another release, install it and run, from compiler/zone:
//
//	go run ./gen -source /usr/share/zoneinfo -version 2026f -out zoneinfo.zip
//
// The same files, version and Go release give the same bytes: entries are sorted and carry no time of day. Every
// entry is the file as it was found, so that it can be compared with the distribution's package byte by byte.
package main

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
)

// versionEntry is the archive's text entry that names the release; no zone's name has a plus sign at its start.
const versionEntry = "+VERSION"

func main() {
	source := flag.String("source", "/usr/share/zoneinfo", "folder of compiled zone files")
	version := flag.String("version", "", "release that the folder must hold, such as 2026f")
	out := flag.String("out", "zoneinfo.zip", "archive to write")
	flag.Parse()
	if err := run(*source, *version, *out); err != nil {
		fmt.Fprintln(os.Stderr, "gen:", err)
		os.Exit(2)
	}
}

func run(source, version, out string) error {
	b, err := pack(os.DirFS(source), version)
	if err != nil {
		return err
	}
	return os.WriteFile(out, b, 0o644)
}

// pack is the archive of every zone file in dir. It refuses a folder that does not say it holds the wanted release:
// a wrong version printed in every calendar is worse than no archive.
func pack(dir fs.FS, version string) ([]byte, error) {
	head, err := fs.ReadFile(dir, "tzdata.zi")
	if err != nil {
		return nil, fmt.Errorf("the source names no release, allowed: a folder with tzdata.zi: %w", err)
	}
	line, _, _ := strings.Cut(string(head), "\n")
	if found := strings.TrimPrefix(line, "# version "); version == "" || found != version {
		return nil, fmt.Errorf("the source holds release %q, allowed: %q, as -version says", found, version)
	}
	files := map[string][]byte{versionEntry: []byte(version)}
	err = fs.WalkDir(dir, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || name == "." {
			return err
		}
		if leftOut(name) {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if d.IsDir() {
			return nil
		}
		b, err := fs.ReadFile(dir, name)
		if err == nil && bytes.HasPrefix(b, []byte("TZif")) {
			files[name] = b
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return archive(files)
}

// leftOut names what is no zone of a place: the copies in posix and right (the latter count leap seconds), the
// machine's own choice (localtime, posixrules) and Factory, whose offset means "not set".
func leftOut(name string) bool {
	switch name {
	case "posix", "right", "localtime", "posixrules", "Factory":
		return true
	}
	return path.Ext(name) == ".tab" || strings.HasPrefix(path.Base(name), "leap")
}

func archive(files map[string][]byte) ([]byte, error) {
	var names []string
	for name := range files {
		names = append(names, name)
	}
	slices.Sort(names)
	var buf bytes.Buffer
	w := zip.NewWriter(&buf)
	w.RegisterCompressor(zip.Deflate, func(out io.Writer) (io.WriteCloser, error) {
		return flate.NewWriter(out, flate.BestCompression)
	})
	for _, name := range names {
		// No Modified: a zero time writes none, so the archive does not change with the day it was made on.
		f, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate})
		if err != nil {
			return nil, err
		}
		if _, err := f.Write(files[name]); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return buf.Bytes(), nil
}
