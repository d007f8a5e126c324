package cli

import (
	"os"
	"strconv"
	"strings"

	"isocue.example/compiler/files"
)

// systemUser is who runs the program, "" where the system does not say: by the environment, else by the list of the machine's own
// users. Not os/user: where that asks the C library, a directory service on the network may be asked.
func systemUser() string {
	for _, v := range []string{"USER", "LOGNAME", "USERNAME"} {
		if s := strings.TrimSpace(os.Getenv(v)); s != "" {
			return s
		}
	}
	b, err := files.Fetch("/etc/passwd", 1<<20)
	if err != nil {
		return ""
	}
	for l := range strings.Lines(string(b)) {
		if f := strings.Split(l, ":"); len(f) > 2 && f[2] == strconv.Itoa(os.Getuid()) {
			return f[0]
		}
	}
	return ""
}
