//go:build !full && unix

package hostile

import (
	"os"
	"path/filepath"

	"isocue.example/cmd/isocue/cli"
)

// full says that the tag full is given.
const full = false

// isProgram makes this binary the program where it bears its name: to build another takes longer than all that is done with it
// here. What the program reads from the environment is taken away, as from a process.
func isProgram() {
	if filepath.Base(os.Args[0]) == "isocue" {
		os.Exit(cli.Main())
	}
	path, tmp := os.Getenv("PATH"), os.TempDir()
	os.Clearenv()
	os.Setenv("PATH", path)
	os.Setenv("TMPDIR", tmp)
}

// build copies this binary: its own folder may be closed to another user.
func build(to string) error {
	self, err := os.Executable()
	if err != nil {
		return err
	}
	b, err := os.ReadFile(self)
	if err != nil {
		return err
	}
	return os.WriteFile(to, b, 0o755)
}
