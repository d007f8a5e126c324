package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	ics "github.com/arran4/golang-ical"
)

// others gives a sample of the calendars and records to what others wrote, and prints what a client takes there, beside mine.
func others(mine time.Duration, n int, folder, packs, cue, readers string) error {
	calendars, err := first(n, packs, "*", "calendar.ics")
	if err != nil {
		return err
	}
	records, err := first(n, folder, "*.yaml")
	if err != nil {
		return err
	}
	say := func(what string, per time.Duration) {
		fmt.Printf("%s: %v a client of processor, %.2f times isocue's whole run\n", what, per.Round(10*time.Microsecond), float64(per)/float64(mine))
	}
	per, err := serialise(calendars)
	if err != nil {
		return err
	}
	say("golang-ical, the same calendar from memory to text", per)
	if readers == "" {
		fmt.Println("ical.js: not run; -readers DIR names what .ci/readers/install made")
	} else {
		script, err := filepath.Abs(filepath.Join(".ci", "speed", "ical.mjs"))
		if err != nil {
			return err
		}
		_, out, err := take(exec.Command("node", append([]string{script, filepath.Join(readers, "node_modules", "ical.js", "dist", "ical.js")}, calendars...)...))
		if err != nil {
			return err
		}
		for _, line := range strings.Split(strings.TrimSpace(out), "\n") {
			verb, number, _ := strings.Cut(line, " ")
			micros, err := strconv.Atoi(number)
			if err != nil {
				return fmt.Errorf("ical.js said %q", out)
			}
			say("ical.js, the same calendar, "+verb, time.Duration(micros)*time.Microsecond/time.Duration(n))
		}
	}
	if cue == "" {
		fmt.Println("cue vet: not run; -cue PATH names the cue command")
		return nil
	}
	args := append([]string{"vet", "-c", "-d", "#Client"}, "schema/words.cue", "schema/client.cue")
	one, _, err := take(exec.Command(cue, append(args, records[0])...))
	if err != nil {
		return err
	}
	all, _, err := take(exec.Command(cue, append(args, records...)...))
	if err != nil {
		return err
	}
	say("cue vet, the same records against the schema, one process each", one.cpu)
	say(fmt.Sprintf("cue vet, %d records in one process", n), all.per(n))
	return nil
}

// serialise is what golang-ical takes to write a calendar that it has read.
func serialise(names []string) (time.Duration, error) {
	var read []*ics.Calendar
	for _, name := range names {
		f, err := os.Open(name)
		if err != nil {
			return 0, err
		}
		c, err := ics.ParseCalendar(f)
		f.Close()
		if err != nil {
			return 0, fmt.Errorf("%s: %w", name, err)
		}
		read = append(read, c)
	}
	begin, octets := processor(), 0
	for _, c := range read {
		octets += len(c.Serialize(ics.WithNewLineWindows))
	}
	if octets == 0 {
		return 0, errors.New("golang-ical wrote nothing")
	}
	return (processor() - begin) / time.Duration(len(names)), nil
}

// processor is what this process has taken so far, user and system.
func processor() time.Duration {
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		return 0
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}

func first(n int, pattern ...string) ([]string, error) {
	names, err := filepath.Glob(filepath.Join(pattern...))
	if err == nil && len(names) < n {
		err = fmt.Errorf("%d files like %s, want %d", len(names), filepath.Join(pattern...), n)
	}
	if err != nil {
		return nil, err
	}
	return names[:n], nil
}
