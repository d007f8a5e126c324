package record

import "testing"

// What is dialled is the number as it is written, or nothing.
func TestDial(t *testing.T) {
	for _, c := range []struct{ number, phone, emergency, why string }{
		{"112", "112", "112", "a short number"},
		{"15", "15", "15", "the shortest in use, of France"},
		{"000", "000", "000", "Australia's"},
		{"+351 555 0100", "+3515550100", "+3515550100", "E.123"},
		{"+1 555-0142", "+15550142", "+15550142", "hyphens of RFC 3966"},
		{"+49.30.123456", "+4930123456", "+4930123456", "dots of RFC 3966"},
		{"+1 (555) 010-0142", "+15550100142", "", "an area behind a country; an emergency number has no parentheses"},
		{"(020) 7946 0000", "02079460000", "", "an area's trunk prefix is dialled inside the country"},
		{"1 (800) 555-0100", "18005550100", "", "a trunk prefix before the area"},
		{"030 123456", "030123456", "", "a national number; parted digits may be two short numbers where seconds count"},
		{"0151 12345678", "015112345678", "", "twelve digits"},
		{"+4930", "", "", "fewer than seven digits behind a + are nobody's"},
		{"+123456789012345", "+123456789012345", "+123456789012345", "E.164: at most 15 digits"},
		{"+1234567890123456", "", "", "E.164: no 16th"},
		{"112 or 999", "", "", "two numbers"},
		{"112 999", "112999", "", "two short numbers with a space look like one: not as an emergency number"},
		{"112/999", "", "", "a slash parts two numbers"},
		{"112, 999", "", "", "so does a comma"},
		{"112  999", "", "", "so do two spaces"},
		{"112 - 999", "", "", "so does a dash between spaces"},
		{"999 (deaf: 18000)", "", "", "a number with a remark"},
		{"999 (18000)", "", "", "two numbers, one in parentheses"},
		{"none", "", "", "no number"},
		{"", "", "", "nothing"},
		{"5", "", "", "one digit is an extension"},
		{"+44 (0)20 7946 0000", "", "", "nobody dials the zero behind a country"},
		{"+39 (06) 123456", "", "", "nor a zero in parentheses at all"},
		{"+1 555 0100 ext 12", "", "", "an extension is dropped by most phones"},
		{"+15550100;ext=12", "", "", "also as RFC 3966 writes it"},
		{"*31#555010", "", "", "an order to the network"},
		{"0800-CALLNOW", "", "", "letters are not on every phone"},
		{"tel:112", "", "", "an address is no number"},
		{"٩١١", "", "", "digits of another script"},
		{"１１２", "", "", "full-width digits"},
		{"112\u202e", "", "", "a mark that turns the direction"},
		{"+351\u00a0555\u00a00100", "", "", "spaces that do not break are not seen"},
		{"00 351 555 0100", "003515550100", "", "an international prefix in place of +"},
		{"555 0100 555 0101", "", "", "two local numbers"},
		{" 112", "", "", "a space before"},
		{"112\n", "", "", "a line behind"},
		{"()112", "", "", "empty parentheses"},
		{"(112", "", "", "half a pair"},
	} {
		phone, p := Dial(c.number)
		emergency, e := DialEmergency(c.number)
		if phone != c.phone || p != (c.phone != "") || emergency != c.emergency || e != (c.emergency != "") {
			t.Errorf("%q dials %q and %q, want %q and %q: %s", c.number, phone, emergency, c.phone, c.emergency, c.why)
		}
	}
}
