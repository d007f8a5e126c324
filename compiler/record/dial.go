package record

import (
	"regexp"
	"strings"
)

// What the schema lets a record's telephone number and emergency number be; a test holds both to it. They are needed here because a
// plan carries numbers too, and an older or edited one may carry anything.
var (
	Phone     = regexp.MustCompile(`^(\+[1-9]([ .-]?[0-9]){6,14}|\+[1-9][0-9]{0,2}[ .-]?\([1-9][0-9]{0,3}\)([ .-]?[0-9]){4,8}|([0-9][ .-]?)?\([0-9]{2,5}\)([ .-]?[0-9]){3,9}|[0-9]([ .-]?[0-9]){1,12})$`)
	Emergency = regexp.MustCompile(`^(\+[1-9]([ .-]?[0-9]){6,14}|[01][0-9]|[0-9]{3,5})$`)
)

// Dial is a telephone number as it is dialled: its digits, behind the + that it may have. ok is false for a text that is not one
// number alone: that is shown and never dialled.
func Dial(number string) (digits string, ok bool) { return dial(Phone, number) }

// DialEmergency is an emergency number as it is dialled.
func DialEmergency(number string) (digits string, ok bool) { return dial(Emergency, number) }

func dial(form *regexp.Regexp, number string) (string, bool) {
	if !form.MatchString(number) {
		return "", false
	}
	return strings.Map(func(r rune) rune {
		if r == '+' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, number), true
}
