package handout

import (
	"encoding/json"
	"isocue.example/compiler/record"
	"os"
	"testing"
)

func TestTry(t *testing.T) {
	b, err := os.ReadFile(os.Getenv("TRY"))
	if err != nil {
		t.Fatal(err)
	}
	p := &record.Plan{}
	if err := json.Unmarshal(b, p); err != nil {
		t.Fatal(err)
	}
	p.Sitting = record.Sitting{SitSeconds: 300, Readings: 2, ReadingSeconds: 60, EndSeconds: 120, ChangeHandSeconds: 10, TestTrials: 3, TestSeconds: 3, TestRestSeconds: 60, FirstHoldSeconds: 30, ReadingWaitMinutes: 30, HighDays: 3, StartMinutes: 5}
	in := Input{Plan: p, Name: "Dara Quill", Prescriber: "T. Ansah", LighterDays: 7, MeasureDays: 14, Version: "t",
		Expected: map[record.Modality]string{"handgrip": "In trials of people with raised pressure, this kind of training lowered clinic systolic pressure by about 5 to 8 on average after 8 to 10 weeks, and diastolic by 2 to 4. Around-the-clock pressure often did not change. Home programmes gave mixed results, including none. Your own result can be smaller, zero or larger. It does not replace medicine.", "slow-breathing": "Studies without a sham treatment found average falls of about 4 to 7 systolic after 4 to 8 weeks. Better-blinded studies found little or none. It may help some people; keep your treatment and measure."}}
	s, err := Sheet(in)
	if err != nil {
		t.Fatal(err)
	}
	os.WriteFile("/tmp/wt/try/handout.html", s, 0o600)
}
