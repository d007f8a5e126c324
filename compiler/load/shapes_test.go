package load

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/internal/cueval"
)

// full says that the tag full is given; its counts are those of `.ci/run`.
var full bool

// The compiled shape of a record changes nothing that is read: record, findings and their words are those that CUE alone gives, for
// a sound record and for one with slips.
func TestCompiledShapeChangesNothing(t *testing.T) {
	pairs := 60
	if full {
		pairs = 3_000
	}
	r := reader(t)
	slow := *r
	byCUE := r.clients().ByCUE()
	slow.clients = func() *cueval.Schema { return byCUE }
	demo, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(demo), "\n")
	rnd := rand.New(rand.NewPCG(7, 8))
	values := []string{"1", "0", "-4", "39.5", `"no"`, "no", "yes", "left", `""`, "[]", "{}", "null", "2027-02-30", "2027-01-02", `"07:00"`, "kgf", "x y", "400", "0x10", "1e2"}
	read, refused := 0, 0
	for i := range pairs {
		src := slices.Clone(lines)
		for range rnd.IntN(4) {
			at := rnd.IntN(len(src))
			switch rnd.IntN(4) {
			case 0:
				src = slices.Delete(src, at, at+1)
			case 1: // another value
				if name, _, ok := strings.Cut(src[at], ": "); ok {
					src[at] = name + ": " + values[rnd.IntN(len(values))]
				}
			case 2: // another name
				if j := strings.IndexByte(src[at], ':'); j > 1 {
					src[at] = src[at][:j-1] + "x" + src[at][j:]
				}
			case 3: // inside a line of records
				src[at] = strings.Replace(src[at], "arm: left", []string{"arm: lft", "side: left", ""}[rnd.IntN(3)], 1)
			}
		}
		text := []byte(strings.Join(src, "\n"))
		a, b := r.Bytes("c.yaml", text), slow.Bytes("c.yaml", text)
		if !reflect.DeepEqual(a.Findings, b.Findings) {
			t.Fatalf("%d: findings differ\n%v\n%v\n%s", i, a.Findings, b.Findings, text)
		}
		if (a.Client == nil) != (b.Client == nil) || a.Client != nil && !reflect.DeepEqual(a.Client.Record, b.Client.Record) {
			t.Fatalf("%d: records differ\n%s", i, text)
		}
		if a.Client != nil {
			read++
		} else if finding.Rejected(a.Findings) {
			refused++
		}
	}
	if read < pairs/10 || refused < pairs/10 {
		t.Errorf("%d read, %d refused; both must be seen", read, refused)
	}
	t.Logf("%d records read both ways, %d of them sound", pairs, read)
}
