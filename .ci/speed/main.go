// Speed compiles a made-up clinic in one run of isocue roster, and says what that took; then it gives the same calendars and records
// to programs of others.
//
//	go run ./.ci/speed -clients 10000
//	go run ./.ci/speed -clients 10000 -cue PATH -readers DIR
//
// The figures are of whole processes, as the system counted them: processor seconds of user and system together, wall seconds, the
// most memory held. A shared machine moves wall seconds far more than processor seconds, so that ratios are made of these. Of others'
// programs, what is measured is a sample of calendars or records, and given per client; what isocue takes is reading, judging,
// compiling, and writing both calendar and plan.
package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"
)

func main() {
	clients := flag.Int("clients", 10000, "how many clients")
	sample := flag.Int("sample", 200, "how many of them others are given")
	dir := flag.String("dir", "", "work in this folder and leave it there; else in one that is removed")
	cue := flag.String("cue", "", "the cue command")
	readers := flag.String("readers", "", "the folder that .ci/readers/install made, for ical.js")
	again := flag.Bool("again", false, "run once more over the finished packs, where nothing is to be done")
	flag.Parse()
	if err := run(*clients, min(*sample, *clients), *dir, *cue, *readers, *again); err != nil {
		fmt.Fprintln(os.Stderr, "speed:", err)
		os.Exit(1)
	}
}

// used is what a process took.
type used struct {
	cpu, wall time.Duration
	system    time.Duration // the part of cpu that the system took: files, above all
	megabytes float64
}

func (u used) per(n int) time.Duration { return u.cpu / time.Duration(n) }

// take runs a command and counts what it took. Its output is returned.
func take(c *exec.Cmd) (used, string, error) {
	var out bytes.Buffer
	c.Stdout, c.Stderr = &out, &out
	begin := time.Now()
	err := c.Run()
	u := used{wall: time.Since(begin)}
	if s := c.ProcessState; s != nil {
		u.cpu, u.system = s.UserTime()+s.SystemTime(), s.SystemTime()
		if r, ok := s.SysUsage().(*syscall.Rusage); ok {
			u.megabytes = float64(r.Maxrss) / 1024
		}
	}
	if err != nil {
		err = fmt.Errorf("%s: %w\n%s", strings.Join(c.Args[:min(2, len(c.Args))], " "), err, out.String())
	}
	return u, out.String(), err
}

func run(n, sample int, dir, cue, readers string, again bool) (err error) {
	if dir == "" {
		if dir, err = os.MkdirTemp("", "speed"); err != nil {
			return err
		}
		defer os.RemoveAll(dir)
	}
	bin, folder, packs := filepath.Join(dir, "isocue"), filepath.Join(dir, "clients"), filepath.Join(dir, "packs")
	if _, _, err := take(exec.Command("go", "build", "-o", bin, "./cmd/isocue")); err != nil {
		return err
	}
	if err := makeClinic(folder, n); err != nil {
		return err
	}
	roster := func(more ...string) (used, string, error) {
		return take(exec.Command(bin, append([]string{"roster", "handgrip-alternating", "slow-breathing-short-pause", "--clients", folder, "--start", "2027-01-04",
			"--now", "2027-01-03T09:00:00Z", "--pack", packs}, more...)...))
	}
	var mine used // of plans and calendars, which others are given too
	for _, way := range []struct{ what, flag string }{{"plans and calendars", "--handout=false"}, {"with sheets and session pages", "--handout"}} {
		if err := os.RemoveAll(packs); err != nil {
			return err
		}
		u, out, err := roster(way.flag)
		if err != nil {
			return err
		}
		if mine.cpu == 0 {
			mine = u
		}
		if want := fmt.Sprintf("%d clients: %d compiled;", n, n); !strings.Contains(out, want) {
			return fmt.Errorf("not every client was compiled:\n%s", out)
		}
		events, octets, err := count(packs)
		if err != nil {
			return err
		}
		fmt.Printf("isocue roster, %s: %d clients, %d events, %.0f MB written: %.1f s of processor (%.1f in the system), %.1f s by the clock, at most %.0f MB held\n",
			way.what, n, events, float64(octets)/1e6, u.cpu.Seconds(), u.system.Seconds(), u.wall.Seconds(), u.megabytes)
		fmt.Printf("  a client: %v of processor, %v by the clock\n", u.per(n).Round(10*time.Microsecond), (u.wall / time.Duration(n)).Round(10*time.Microsecond))
	}
	if again {
		v, out, err := roster()
		if err == nil && !strings.Contains(out, fmt.Sprintf("%d unchanged", n)) {
			err = errors.New("a second run compiled anew:\n" + out)
		}
		if err != nil {
			return err
		}
		fmt.Printf("  the same again, nothing to do: %.1f s of processor, %.1f s by the clock, at most %.0f MB held\n", v.cpu.Seconds(), v.wall.Seconds(), v.megabytes)
	}
	return others(mine.per(n), sample, folder, packs, cue, readers)
}

// count counts the events and bytes of the packs.
func count(packs string) (events, octets int, err error) {
	for _, pattern := range []string{"calendar.ics", "plan.json", "handout.html", "session.html"} {
		names, err := filepath.Glob(filepath.Join(packs, "*", pattern))
		if err != nil {
			return 0, 0, err
		}
		for _, name := range names {
			b, err := os.ReadFile(name)
			if err != nil {
				return 0, 0, err
			}
			octets += len(b)
			events += bytes.Count(b, []byte("\nBEGIN:VEVENT\r\n"))
		}
	}
	return events, octets, nil
}

// makeClinic writes records of the demo scenario that differ in what a compile depends on: zone, hours, grip, pressure, age.
func makeClinic(folder string, n int) error {
	demo, err := os.ReadFile(filepath.Join("testdata", "demo", "client.yaml"))
	if err != nil {
		return err
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return err
	}
	rnd := rand.New(rand.NewPCG(11, 12))
	zones := []string{"America/Halifax", "Europe/Lisbon", "Asia/Kolkata", "Australia/Hobart", "America/Sao_Paulo"}
	for i := range n {
		grip, mmHg, hour := float64(rnd.IntN(8)), rnd.IntN(4), rnd.IntN(3)
		src := strings.NewReplacer(
			"id: plover-12", fmt.Sprintf("id: plover-%06d", i),
			"born: 1971", fmt.Sprintf("born: %d", 1960+rnd.IntN(25)),
			"America/Halifax", zones[rnd.IntN(len(zones))],
			"[38.5, 40.0, 39.5]", fmt.Sprintf("[%.1f, %.1f, %.1f]", 34+grip, 35.5+grip, 35+grip),
			"[35.0, 36.0, 35.5]", fmt.Sprintf("[%.1f, %.1f, %.1f]", 31+grip, 32+grip, 31.5+grip),
			"systolic: 141, diastolic: 85", fmt.Sprintf("systolic: %d, diastolic: %d", 138+mmHg, 82+mmHg),
			`from: "07:00", to: "08:00"`, fmt.Sprintf(`from: "%02d:00", to: "%02d:00"`, 6+hour, 7+hour),
		).Replace(string(demo))
		if err := os.WriteFile(filepath.Join(folder, fmt.Sprintf("plover-%06d.yaml", i)), []byte(src), 0o600); err != nil {
			return err
		}
	}
	return nil
}
