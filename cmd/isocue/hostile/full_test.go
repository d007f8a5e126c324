//go:build full && unix

package hostile

import (
	"net"
	"os"
	"os/exec"
)

// full says that the tag full is given: every input goes every way, to the built program.
const full = true

// isProgram makes of this binary a program that does what ours does not, for the test that looks for it.
func isProgram() {
	if os.Getenv("ISOCUE_PROBE") == "" {
		return
	}
	if c, err := net.Dial("tcp", "127.0.0.1:9"); err == nil {
		c.Close()
	}
	os.Exit(0)
}

func build(to string) error {
	cmd := exec.Command("go", "build", "-o", to, "isocue.example/cmd/isocue")
	cmd.Stdout, cmd.Stderr = os.Stderr, os.Stderr
	return cmd.Run()
}
