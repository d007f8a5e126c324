package cli

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// BenchmarkRoster is the whole run of `isocue roster` over clients of the demo scenario, per client: read, compile, write.
func BenchmarkRoster(b *testing.B) {
	demo, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		b.Fatal(err)
	}
	const clients = 200
	dir := b.TempDir()
	folder := filepath.Join(dir, "clients")
	if err := os.Mkdir(folder, 0o700); err != nil {
		b.Fatal(err)
	}
	for i := range clients {
		src := bytes.ReplaceAll(demo, []byte("plover-12"), fmt.Appendf(nil, "plover-%d", i))
		if err := os.WriteFile(filepath.Join(folder, fmt.Sprintf("%d.yaml", i)), src, 0o600); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		n++
		var out, errw bytes.Buffer
		args := []string{"roster", "handgrip-alternating", "slow-breathing-short-pause", "--clients", folder, "--start", "2027-01-04",
			"--now", "2027-01-03T09:00:00Z", "--pack", filepath.Join(dir, fmt.Sprint("packs", n))}
		if code := Run(args, strings.NewReader(""), &out, &errw); code != ExitOK {
			b.Fatal(code, out.String(), errw.String())
		}
		io.Copy(io.Discard, &out)
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(n*clients), "µs/client")
}
