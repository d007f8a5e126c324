package cli

import (
	"fmt"
	"io"
	"path/filepath"
	"runtime"
	"strings"

	"isocue.example/compiler/report"
)

// say tells something about the run itself, on one line of standard error. It may quote what somebody else wrote.
func (a *app) say(format string, args ...any) {
	fmt.Fprintf(a.err, "isocue: %s\n", report.Clean(fmt.Sprintf(format, args...)))
}

// teller keeps the first error of writing: not all who write look.
type teller struct {
	io.Writer
	failed error
}

func (t *teller) Write(b []byte) (int, error) {
	n, err := t.Writer.Write(b)
	if err != nil && t.failed == nil {
		t.failed = err
	}
	return n, err
}

// where is the place in our own code from which a panic came, in words.
func where() string {
	pcs := make([]uintptr, 64)
	frames := runtime.CallersFrames(pcs[:runtime.Callers(3, pcs)])
	for {
		f, more := frames.Next()
		if name, ok := strings.CutPrefix(f.Function, "isocue.example/"); ok && !strings.HasPrefix(name, "cmd/isocue/cli.Run") {
			return fmt.Sprintf(" (%s, %s:%d)", name, filepath.Base(f.File), f.Line)
		}
		if !more {
			return ""
		}
	}
}
