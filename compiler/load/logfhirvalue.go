package load

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// amount is a value of an Observation: a number with its unit, or a text.
type amount struct {
	num     unit.Dec
	number  bool // it is meant as a number
	plain   bool // and num is that number
	bound   bool // it is a bound, over or under what was measured
	text    string
	unit    string // mmHg, /min, "" without one, one of perMillimetre, or "other"
	no, yes bool   // it says no, or yes
}

// perMillimetre is how many millimetres of mercury a unit of pressure is. Source: NIST SP 811 (2008), appendix B.8.
var perMillimetre = map[string]string{"kPa": "7.500616", "hPa": "0.7500616", "mbar": "0.7500616", "Pa": "0.007500616", "bar": "750.0616", "cmHg": "10", "mHg": "1000", "inHg": "25.4", "psi": "51.71493"}

// unitSpellings are units without spaces, brackets and capitals. A torr is taken as a millimetre.
var unitSpellings = map[string]string{
	"": "", "1": "", "mmhg": "mmHg", "millimeterofmercury": "mmHg", "millimetreofmercury": "mmHg", "millimetersofmercury": "mmHg", "millimetresofmercury": "mmHg", "torr": "mmHg", "hgmm": "mmHg",
	"kpa": "kPa", "kilopascal": "kPa", "kilopascals": "kPa", "hpa": "hPa", "pa": "Pa", "pascal": "Pa", "bar": "bar", "mbar": "mbar", "cmhg": "cmHg", "mhg": "mHg", "inhg": "inHg", "psi": "psi",
	"/min": "/min", "1/min": "/min", "min-1": "/min", "beats/min": "/min", "beat/min": "/min", "hb/min": "/min", "h.b./min": "/min", "beats/minute": "/min", "beatsperminute": "/min", "beatsperminutes": "/min",
	"/minute": "/min", "bpm": "/min", "perminute": "/min", "permin": "/min", "schläge/min": "/min", "schläge/minute": "/min", "count/min": "/min", "counts/min": "/min", "bt/min": "/min",
}

// unitOf is the unit of a quantity by its code, and where that is not known by its words.
func unitOf(code, words string) string {
	plain := func(s string) string {
		return strings.ToLower(strings.NewReplacer(" ", "", "[", "", "]", "", "{", "", "}", "", "(", "", ")", "").Replace(s))
	}
	code, words = plain(code), plain(words)
	c, known := unitSpellings[code]
	w, told := unitSpellings[words]
	switch {
	case known && c != "":
		return c
	case told && w != "" && (known || code == words):
		return w
	case told && w != "": // a code that nobody knows beside words that somebody does
		return w
	case known && told:
		return ""
	}
	return "other"
}

// numberOf is a JSON number, whose exponent may move the point some places.
func numberOf(n json.Number) (unit.Dec, bool) {
	mantissa, exponent, moved := strings.Cut(strings.ToLower(string(n)), "e")
	d, err := unit.ParseDec(mantissa)
	if err != nil || len(mantissa) > 40 {
		return unit.Dec{}, false
	}
	e := 0
	if moved {
		if e, err = strconv.Atoi(exponent); err != nil || e < -9 || e > 9 {
			return unit.Dec{}, false
		}
	}
	for ; e > 0; e-- {
		d = d.Mul(unit.Int(10))
	}
	for ; e < 0; e++ {
		d = d.Quo(unit.Int(10))
	}
	return d, true
}

// timeKinds are the types of a value that is a time.
var timeKinds = []string{"DateTime", "Date", "Time", "Instant", "Period", "Timing"}

// amounts are the values of an object: every element whose name begins with value, whatever its type.
func (b *bundleReader) amounts(o object) (out []amount) {
	for _, key := range sortedKeys(o) {
		kind, ok := strings.CutPrefix(key, "value")
		if !ok || slices.Contains(timeKinds, kind) {
			continue
		}
		all, many := o[key].([]any)
		if !many {
			all = []any{o[key]}
		}
		for _, v := range all {
			switch v := v.(type) {
			case json.Number:
				d, plain := numberOf(v)
				out = append(out, amount{num: d, plain: plain, number: true})
			case bool:
				out = append(out, amount{yes: v, no: !v})
			case string:
				out = append(out, saying(v))
			case object:
				out = append(out, b.amountsOf(kind, v)...)
			}
		}
	}
	return out
}

// amountsOf are the numbers of a value with parts.
func (b *bundleReader) amountsOf(kind string, v object) (out []amount) {
	switch {
	case v["numerator"] != nil || v["denominator"] != nil: // 148 to 84
		n, d := b.quantity(b.object(v, "numerator")), b.quantity(b.object(v, "denominator"))
		if n.plain && d.plain && n.num.IsInt() && d.num.IsInt() && n.num.Sign() >= 0 && d.num.Sign() >= 0 {
			return []amount{saying(n.num.Text(0) + "/" + d.num.Text(0))}
		}
		return []amount{n, d}
	case v["low"] != nil || v["high"] != nil:
		for _, key := range []string{"low", "high"} {
			if q := b.object(v, key); q != nil {
				a := b.quantity(q)
				a.bound = true
				out = append(out, a)
			}
		}
		return out
	case v["data"] != nil && kind == "SampledData":
		return []amount{saying(b.text(v, "data"))}
	case v["value"] != nil:
		return []amount{b.quantity(v)}
	case kind == "Quantity", kind == "Reference", kind == "Attachment":
		return nil
	}
	c := conceptOf(v)
	a := saying(strings.Join(c.words, " "))
	a.text = strings.ReplaceAll(c.label, "|", " ")
	return []amount{a}
}

func (b *bundleReader) quantity(q object) (a amount) {
	a = amount{number: true, bound: q["comparator"] != nil}
	switch v := q["value"].(type) {
	case json.Number:
		a.num, a.plain = numberOf(v)
	case nil:
	default:
		b.wrong("value")
	}
	a.unit = unitOf(b.text(q, "code"), b.text(q, "unit"))
	return a
}

// The answers that a value in words can be, in SNOMED CT too: memory.
var (
	noWords  = strings.Fields("no not none absent negative false denied denies never nein n kein keine unknown 260413007 373067005 2667000")
	yesWords = strings.Fields("yes present positive true ja y 373066001 52101004")
)

// saying is a value in words.
func saying(s string) amount {
	first := ""
	if words := wordsOf(s); len(words) > 0 {
		first = words[0]
	}
	return amount{text: strings.TrimSpace(s), no: slices.Contains(noWords, first), yes: slices.Contains(yesWords, first)}
}

// millimetres is a number in another unit of pressure as whole millimetres of mercury, rounded up; 0 for one that is in none.
func (a amount) millimetres() int {
	per, ok := perMillimetre[a.unit]
	if !ok || !a.plain || unit.Int(1_000_000).Less(a.num.Abs()) {
		return 0
	}
	return int(a.num.Mul(unit.MustDec(per)).Ceil(unit.Int(1)).Int64())
}

// cell is a number as a cell writes it.
func (a amount) cell() string {
	if a.num.IsInt() {
		return a.num.Text(0)
	}
	return a.num.Text(3)
}

// pressure is a value as a cell of a pressure column, what is wrong with it, and what it may hold beside that.
func (a amount) pressure(s LogSpan) (cell, trouble string, held record.Held) {
	switch {
	case !a.number:
		return a.text, "", held
	case !a.plain || a.num.Sign() < 0:
		return "", "a value is no plain number, allowed: such as 138", record.Held{Unknown: true}
	}
	cell = a.cell()
	switch mm := a.millimetres(); {
	case mm > 0:
		cell, trouble = strconv.Itoa(mm), "a value is in "+a.unit+", allowed: mm[Hg] of UCUM"
	case a.unit != "mmHg" && a.unit != "":
		trouble = "a value is in another unit, allowed: mm[Hg] of UCUM"
		held.Unknown = a.num.Sign() > 0 && (a.num.Less(unit.Int(int64(s.Lowest))) || unit.Int(int64(s.Highest)).Less(a.num))
	}
	if a.bound {
		trouble = "a value is a bound, over or under what was measured"
	}
	return cell, trouble, held
}

// pulse is a value as a cell of the pulse column, what is wrong with it, and what it may hold beside that.
func (a amount) pulse() (cell, trouble string, held record.Held) {
	switch {
	case !a.number:
		return a.text, "", held
	case !a.plain || a.num.Sign() < 0:
		return "", "a pulse is no plain number, allowed: such as 70", record.Held{Unknown: true}
	}
	if a.unit != "/min" && a.unit != "" {
		trouble = "a pulse is in another unit, allowed: /min of UCUM"
	}
	if a.bound {
		trouble = "a pulse is a bound, over or under what was measured"
	}
	return a.cell(), trouble, held
}
