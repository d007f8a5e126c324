package calendar

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"isocue.example/compiler/internal/testkit"
)

// What the standards allow and a calendar of ours may one day have is not taken for a defect.
func TestLegal(t *testing.T) {
	b, err := os.ReadFile(filepath.Join(defectsDir, "sound.ics"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ old, new, source string }{
		{"SUMMARY:Handgrip", "Summary:Hand\r\n\tgrip\tnow", "RFC 5545 3.1: any white space folds, a tab is text, case does not matter"},
		{"SUMMARY:Handgrip", "SUMMARY;LANGUAGE=en;ALTREP=\"https://a.example/b,c;d\":Handgrip", "RFC 5545 3.2"},
		{"SUMMARY:Handgrip", "SUMMARY;X-KIND=a,b:Handgrip", "RFC 5545 3.2: x-param"},
		{"X-WR-CALNAME:Training sessions", "X-WR-CALNAME:a,b", "RFC 5545 3.8.8.2"},
		{"X-WR-CALNAME:Training sessions", "X-LINK;VALUE=URI:https://clinic.example/a;b", "RFC 5545 3.8.8.2"},
		{"X-WR-CALNAME:", "REFRESH-INTERVAL;VALUE=DURATION:PT12H\r\nSOURCE;VALUE=URI:https://clinic.example/a.ics\r\nX-WR-CALNAME:", "RFC 7986 5.7 and 5.8"},
		{"BEGIN:VTIMEZONE", "METHOD:PUBLISH\r\nBEGIN:VTIMEZONE", "RFC 5546 3.2.1; the events get an ORGANIZER below"},
		{"TZOFFSETFROM:+0100", "TZOFFSETFROM:-001530", "RFC 5545 3.3.14"},
		{"BYMONTH=10;BYDAY=-1SU", "UNTIL=20301025T010000Z;BYMONTH=9,10;BYDAY=SU,+2MO;WKST=SU", "RFC 5545 3.3.10"},
		{"DURATION:PT29M", "DURATION:PT29M\r\nRRULE:FREQ=MONTHLY;COUNT=3;INTERVAL=2;BYMONTHDAY=-1,15;BYSETPOS=1", "RFC 5545 3.3.10"},
		{"DURATION:PT29M", "DURATION:PT29M\r\nRRULE:FREQ=DAILY;UNTIL=20270501T060000Z\r\nPRIORITY:9", "RFC 5545 3.3.10"},
		{"DTEND;VALUE=DATE:20270331", "DURATION:P1D\r\nRRULE:FREQ=DAILY;UNTIL=20270501", "RFC 5545 3.6.1 and 3.3.10"},
		{"DTSTART;TZID=Europe/Lisbon:20270328T070000", "DTSTART:20270328T060000Z", "RFC 5545 3.3.5 form 2"},
		{"DTSTART;TZID=Europe/Lisbon:20270328T070000", "DTSTART;VALUE=DATE-TIME;TZID=\"Europe/Lisbon\":20270328T070000", "RFC 5545 3.8.2.4"},
		{"TRIGGER:-PT30M", "TRIGGER;VALUE=DATE-TIME:20270328T053000Z", "RFC 5545 3.8.6.3"},
		{"TRIGGER:-PT30M", "TRIGGER;RELATED=START:-PT30M\r\nREPEAT:1\r\nDURATION:PT5M", "RFC 5545 3.8.6.3"},
		{"STATUS:CONFIRMED", "STATUS:confirmed", "RFC 5545 2: case of enumerated values"},
	} {
		text := strings.Replace(string(b), c.old, c.new, 1)
		if strings.Contains(c.new, "METHOD") {
			text = strings.ReplaceAll(text, "\r\nDTSTAMP", "\r\nORGANIZER;CN=\"The clinic\":mailto:coach@clinic.example\r\nDTSTAMP")
		}
		if text == string(b) {
			t.Errorf("%q does not stand in the sound calendar", c.old)
		}
		if _, err := testkit.Calendar([]byte(text)); err != nil {
			t.Errorf("%q (%s): %v", c.new, c.source, err)
		}
	}
}
