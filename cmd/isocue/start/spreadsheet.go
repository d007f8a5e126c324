package start

import (
	"strings"

	"isocue.example/compiler/rule"
)

// sheetBefore and sheetAfter are the headings of a spreadsheet of clients around the screening questions.
var sheetBefore = []string{"id", "name", "born", "sex", "zone", "dominantHand", "contacts.client", "contacts.coach", "contacts.clinic", "contacts.prescriber", "contacts.emergency",
	"protocols", "start", "screening.date", "screening.by", "screening.questions"}

var sheetAfter = []string{"conditions[0].code", "conditions[0].side", "conditions[0].since", "conditions[1].code", "conditions[1].side", "conditions[1].since",
	"medicines", "medicines[0].class", "medicines[0].changed", "medicines[1].class", "medicines[1].changed",
	"clearances[0].for", "clearances[0].by", "clearances[0].role", "clearances[0].date", "clearances[0].until",
	"taught.date", "taught.by", "consent.date", "consent.by", "consent.explained",
	"measured.grip.date", "measured.grip.unit", "measured.grip.score", "measured.grip.with", "measured.grip.right", "measured.grip.left",
	"measured.inspiratory.date", "measured.inspiratory.unit", "measured.inspiratory.method", "measured.inspiratory.trials",
	"devices.grip.id", "devices.grip.unit", "devices.grip.step", "devices.grip.checked",
	"devices.cuff.arm", "devices.cuff.size", "devices.cuff.validated", "devices.cuff.fitsCm", "devices.cuff.armCm",
	"hours[0].days", "hours[0].from", "hours[0].to", "hours[1].days", "hours[1].from", "hours[1].to", "away[0].from", "away[0].to", "#remarks"}

// Spreadsheet is the headings of a spreadsheet of clients (RFC 4180), with a column for every screening question of the base.
func Spreadsheet(b *rule.Base) []byte {
	all := append([]string{}, sheetBefore...)
	for _, q := range b.Questions() {
		all = append(all, "screening.answers."+q.ID)
	}
	return []byte(strings.Join(append(all, sheetAfter...), ",") + "\r\n")
}
