package compiler

import (
	"slices"
	"testing"

	"isocue.example/compiler/rule"
	"isocue.example/compiler/say"
)

// The catalogues and the schema's data know the same languages, and every standard protocol has a title in each.
func TestLanguagesAgree(t *testing.T) {
	if want := append([]string{"en"}, rule.Tags...); !slices.Equal(say.Tags(), want) {
		t.Errorf("the catalogues know %v, the schema %v", say.Tags(), want)
	}
	c := engine(t)
	for _, id := range c.StandardIDs() {
		for _, tag := range rule.Tags {
			if p := c.Standard(id).Protocols[0].Record; p.Titles[tag] == "" || p.Titles[tag] == p.Title {
				t.Errorf("%s has no title in %s", id, tag)
			}
		}
	}
}
