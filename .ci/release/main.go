// Release builds isocue for people who have no Go: a program for each system, the licences of what is in them, and the digests of all.
//
//	go run ./.ci/release FOLDER
//	go run ./.ci/release -only linux/amd64 FOLDER
//
// The folder is new or empty. Every program is built twice, from two copies of the source in folders of different names, with two
// caches of the compiler and of the modules, and both must be the same to the byte: so nothing of this machine is in it, and whoever
// has the same version of Go can build it again and compare. Only what was built from such a pair is put into the folder, and
// SHA256SUMS comes last: a folder without it is not whole.
package main

import (
	"bytes"
	"crypto/sha256"
	"debug/elf"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"isocue.example/cmd/isocue/cli"
	"isocue.example/cmd/isocue/docs"
)

func main() {
	only := flag.String("only", strings.Join(docs.Systems, ","), "build for these systems alone")
	flag.Parse()
	if err := release(strings.Split(*only, ","), flag.Args()); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

func release(systems, args []string) error {
	if len(args) != 1 {
		return fmt.Errorf("write: go run ./.ci/release FOLDER")
	}
	for _, s := range systems {
		if !slices.Contains(docs.Systems, s) {
			return fmt.Errorf("no program is made for %q, allowed: %s", s, strings.Join(docs.Systems, ", "))
		}
	}
	to := args[0]
	if err := os.MkdirAll(to, 0o755); err != nil {
		return err
	}
	if have, err := os.ReadDir(to); err != nil || len(have) > 0 {
		return fmt.Errorf("%s is not empty, or not a folder: %v", to, err)
	}
	tmp, err := os.MkdirTemp("", "isocue-release")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	here, err := benchIn(".")
	if err != nil {
		return err
	}
	there, err := here.elsewhere(tmp)
	if err != nil {
		return err
	}
	files := map[string][]byte{}
	for _, s := range systems {
		name, program, err := twice(here, there, s, tmp)
		if err != nil {
			return fmt.Errorf("%s: %w", s, err)
		}
		files[name] = program
	}
	if files["LICENCES.txt"], err = here.licences(systems); err != nil {
		return err
	}
	return write(to, files)
}

// twice builds the program for one system at both benches, and returns it where they agree.
func twice(here, there bench, system, tmp string) (name string, program []byte, err error) {
	goos, goarch, _ := strings.Cut(system, "/")
	name = fmt.Sprintf("isocue-%s-%s-%s", cli.Version, goos, goarch)
	if goos == "windows" {
		name += ".exe"
	}
	if program, err = here.build(system, filepath.Join(tmp, "first")); err != nil {
		return "", nil, err
	}
	again, err := there.build(system, filepath.Join(tmp, "second"))
	if err != nil {
		return "", nil, err
	}
	if !bytes.Equal(program, again) {
		return "", nil, fmt.Errorf("two builds differ, so that something of this machine is in the program; nothing was written")
	}
	if goos == "linux" {
		if err := static(program); err != nil {
			return "", nil, err
		}
	}
	if goos == runtime.GOOS && goarch == runtime.GOARCH {
		out, err := exec.Command(filepath.Join(tmp, "second"), "version").Output()
		if err != nil || !strings.HasPrefix(string(out), "isocue "+cli.Version+"\n") {
			return "", nil, fmt.Errorf("the program says %q, %v", out, err)
		}
	}
	fmt.Printf("%s: %d bytes, the same from two builds\n", name, len(program))
	return name, program, nil
}

// static says why a program for Linux would need something of the system that it runs on.
func static(program []byte) error {
	f, err := elf.NewFile(bytes.NewReader(program))
	if err != nil {
		return err
	}
	libs, err := f.ImportedLibraries()
	if err != nil {
		return err
	}
	for _, p := range f.Progs {
		if p.Type == elf.PT_INTERP || len(libs) > 0 {
			return fmt.Errorf("the program is not static: it asks for a loader or for %v", libs)
		}
	}
	return nil
}

// write puts the files into the folder, the digests last.
func write(to string, files map[string][]byte) error {
	var names []string
	for n := range files {
		names = append(names, n)
	}
	slices.Sort(names)
	var sums bytes.Buffer
	for _, n := range names {
		mode := os.FileMode(0o755)
		if strings.HasSuffix(n, ".txt") {
			mode = 0o644
		}
		if err := os.WriteFile(filepath.Join(to, n), files[n], mode); err != nil {
			return err
		}
		fmt.Fprintf(&sums, "%x  %s\n", sha256.Sum256(files[n]), n)
	}
	return os.WriteFile(filepath.Join(to, "SHA256SUMS"), sums.Bytes(), 0o644)
}
