package cli

import (
	"os"
	"sync"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/rule"
)

// patience bounds what one file may take. What the guard lets through costs half a second of the processor at worst, most of it in
// the garbage collector's threads, and 30 MB; an ordinary file a thousandth of that. A machine ten times slower uses ten times as
// much of its processor for the same file, and must not give it up either: hence half a minute.
var patience = load.Watchdog{Time: 30 * time.Second, Heap: 128 << 20, Every: 20 * time.Millisecond}

// embedded is the schema and the rule base inside the program, read once a process, under the watchdog. That ends the process:
// an evaluation that has gone astray cannot be stopped.
var embedded = sync.OnceValues(func() (*compiler.Compiler, error) {
	w := patience
	w.Bite = func(o load.Overrun) {
		(&app{err: os.Stderr}).say("%v: stopped at the limit; make the file smaller, or report it if it is an ordinary file", o)
		os.Exit(ExitCannotRun)
	}
	return compiler.New(&w)
})

// engine is a compiler of the caller's own: waivers and a stopwatch may be put into it. What it reads from is shared.
func (a *app) engine() *compiler.Compiler {
	c, err := embedded()
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	b := c.Check.Base
	if a.base != nil {
		if b, err = a.base(); err != nil {
			panic(finding.Bug{What: err.Error()})
		}
	}
	return &compiler.Compiler{Reader: c.Reader, Check: check.New(b)}
}

// rulebase is the rule base without the reader of files, which takes as long again to build.
func (a *app) rulebase() (*rule.Base, error) {
	if a.base != nil {
		return a.base()
	}
	return rule.Load()
}
