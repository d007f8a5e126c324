package calendar

import (
	"fmt"
	"strings"

	"isocue.example/compiler/unit"
)

// span says a time as people do: 30 seconds, 2 minutes, 2 minutes 30 seconds.
func span(t unit.Tenths) string {
	minutes, rest := int(t/600), t%600
	seconds := rest.String() + " seconds"
	if rest == unit.Seconds(1) {
		seconds = "1 second"
	}
	switch {
	case minutes == 0:
		return seconds
	case rest == 0:
		return count(minutes, "minute")
	}
	return count(minutes, "minute") + " " + seconds
}

func count(n int, noun string) string { return fmt.Sprintf("%d %s", n, plural(n, noun)) }

func plural(n int, noun string) string {
	if n == 1 {
		return noun
	}
	return noun + "s"
}

// inWords spells the few numbers that stand in the middle of a sentence.
func inWords(n int) string {
	words := [...]string{"no", "one", "two", "three", "four", "five", "six"}
	if n >= 0 && n < len(words) {
		return words[n]
	}
	return fmt.Sprint(n)
}

// sentence begins s with a capital letter and ends it with a full stop.
func sentence(s string) string { return strings.ToUpper(s[:1]) + s[1:] + "." }
