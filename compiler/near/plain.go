package near

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// alike are letters of other scripts that look like one of ours, and letters that a keyboard of another language gives.
var alike = func() map[rune]rune {
	out := map[rune]rune{}
	pair := func(from, to string) {
		ours := []rune(to)
		for i, c := range []rune(from) {
			out[c] = ours[i]
		}
	}
	pair("аеорсухіјѕԁһԛԝьАВЕКМНОРСТХУІЈЅ", "aeopcyxijsdhqwbABEKMHOPCTXYIJS")
	pair("αεινοπρτυκΑΒΕΖΗΙΚΜΝΟΡΤΥΧ", "aeivonptukABEZHIKMNOPTYX")
	pair("ıɑɡ", "iag")
	return out
}()

// Plain is a text as it was probably meant: letters and digits in their usual forms, without marks that nobody sees.
func Plain(text string) string {
	if strings.IndexFunc(text, func(r rune) bool { return r > unicode.MaxASCII }) < 0 {
		return text
	}
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Cf, r) {
			return -1
		}
		if to, ok := alike[r]; ok {
			return to
		}
		return r
	}, norm.NFKC.String(text))
}
