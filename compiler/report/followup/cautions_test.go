package followup

import (
	"errors"
	"io"
	"testing"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
)

// refuses tries every form of a family, with cautions and without.
func refuses[T any](t *testing.T, forms report.Forms[T], of func(progress.Followed) T) {
	t.Helper()
	whole := progress.Followed{Cautions: []record.Caution{{ID: "medicine-unchanged", Text: "Change nothing."}}}
	for _, form := range forms.Names() {
		if err := forms.Write(io.Discard, form, of(whole)); err != nil {
			t.Errorf("%s: %v", form, err)
		}
		if err := forms.Write(io.Discard, form, of(progress.Followed{})); !errors.Is(err, report.ErrNoCautions) {
			t.Errorf("%T as %s without cautions: %v", of(whole), form, err)
		}
	}
}

// Nothing is printed of a follow-up without its cautions, in whatever form.
func TestFollowUpNeedsCautions(t *testing.T) {
	refuses(t, Reports, func(f progress.Followed) Report { return Report{Followed: f} })
	refuses(t, Letters, func(f progress.Followed) Letter { return Letter{Followed: f} })
}
