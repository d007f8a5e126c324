package diary

import (
	"strings"
	"testing"
)

// A line is added behind whatever stands there, and nothing that stood there is lost: cut anywhere, a line of ours is mended.
func TestAddition(t *testing.T) {
	const line = `- {id: b1, date: 2027-01-03, by: "L. Brandt", well: true}`
	torn := `- {id: a1, date: 2027-01-02, by: "L. \"B\" Bränd, a}", hours: [{days: [mon], from: "07:00"}]}`
	for _, c := range []struct{ have, want, why string }{
		{"", line + "\n", "a new diary"},
		{torn + "\n", torn + "\n" + line + "\n", "usual"},
		{torn, torn + "\n" + line + "\n", "an editor writes no last line end"},
		{"- date: 2027-01-02\n  ill: fever", "- date: 2027-01-02\n  ill: fever\n" + line + "\n", "by hand"},
		{"# ours", "# ours\n" + line + "\n", "a comment"},
		{"- {by: O'Brien, ill: 'a \"cold\"'}", "- {by: O'Brien, ill: 'a \"cold\"'}\n" + line + "\n", "other quotes"},
	} {
		if got := added(c.have, line); got != c.want {
			t.Errorf("%s: %q, want %q", c.why, got, c.want)
		}
	}
	for cut := 3; cut < len(torn); cut++ {
		for _, before := range []string{"", "- {id: a0, well: true}\n"} {
			got := added(before+torn[:cut], line)
			want := before + "# not finished: " + strings.ToValidUTF8(torn[:cut], "") + "\n" + line + "\n"
			if got != want {
				t.Fatalf("cut at %d: %q", cut, got)
			}
		}
	}
	if n := Entries([]byte("# a\n- {a}\n- b: 1\n  c: 2\n-\n- {")); n != 3 {
		t.Error(n)
	}
}

func added(have, line string) string {
	end, text := Addition([]byte(have), line)
	return have[:end] + string(text)
}
