// Command isocue compiles home training protocols and one client's measurements into a dated calendar of sessions,
// with a validator in front that says no, and says why.
package main

import (
	"os"

	"isocue.example/cmd/isocue/cli"
)

func main() { os.Exit(cli.Main()) }
