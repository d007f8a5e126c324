package rule

import (
	"fmt"
	"slices"
)

// This file says who may overrule whom. Nothing else in the program decides it:
//
//	a rule of the base     may silence a milder one about the same mistake, never a graver verdict or a more urgent tell (MaySilence)
//	a limit of a clinic    may tighten a number, never widen it (Narrow)
//	a rule of a clinic     may add a finding and silences nothing (MaySilence)
//	a waiver               forgives one value at one place in one revision; what its finding stood in for is then told (finding.Waive)
//
// A clearance opens the gate that it names and is decided by compiler/check, where gates are.

// urgency orders how soon a rule tells somebody, the most urgent first.
var urgency = []string{"now", "today", "this week"}

// Clinic says whether the rule is a clinic's own, from its policy.
func (r *Rule) Clinic() bool {
	return len(r.ID) > len(ClinicPrefix) && r.ID[:len(ClinicPrefix)] == ClinicPrefix
}

// MaySilence says whether a finding of r may stand in for one of other about the same mistake; the error says why not.
func (r *Rule) MaySilence(other *Rule) error {
	switch {
	case r.Clinic():
		return fmt.Errorf("a clinic's own rule silences nothing, allowed: no milder")
	case other == nil:
		return fmt.Errorf("it names a rule that the base does not have")
	case other == r || other.ID == r.ID:
		return fmt.Errorf("a rule does not silence itself")
	case other.About != r.About:
		return fmt.Errorf("%s is about %s, this rule about %s: they never judge the same facts", other.ID, one(other.About), one(r.About))
	case other.Verdict.Rank() < r.Verdict.Rank():
		return fmt.Errorf("%s is %s, graver than %s", other.ID, other.Verdict, r.Verdict)
	case soon(other) < soon(r):
		return fmt.Errorf("%s tells somebody %s, sooner than %s", other.ID, other.Tell.HowSoon, r.Tell.HowSoon)
	case soon(other) == soon(r) && other.Tell.Who == "emergency" && r.Tell.Who != "emergency":
		return fmt.Errorf("%s sends for help, this rule tells the %s", other.ID, r.Tell.Who)
	}
	return nil
}

// Covers says whether a finding of one rule may have another's behind it: the rule itself, or one that it may silence, through however
// many.
func (b *Base) Covers(id, other string) bool {
	seen := map[string]bool{}
	var covers func(string) bool
	covers = func(id string) bool {
		if id == other {
			return true
		}
		r := b.Rule(id)
		if r == nil || seen[id] {
			return false
		}
		seen[id] = true
		return slices.ContainsFunc(r.Milder, covers)
	}
	return covers(id)
}

// soon is the place of a rule's tell among urgency; behind them all where it tells nobody.
func soon(r *Rule) int {
	if i := slices.Index(urgency, r.Tell.HowSoon); i >= 0 {
		return i
	}
	return len(urgency)
}

// privileges holds every rule of the base to what it may silence.
func (b *Base) privileges() (errs []error) {
	for _, r := range b.All() {
		for _, id := range r.Milder {
			if err := r.MaySilence(b.Rule(id)); err != nil {
				errs = append(errs, fmt.Errorf("%s: rule %s: milder names %s: %w", r.File, r.ID, id, err))
			}
		}
	}
	return errs
}
