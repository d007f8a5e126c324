package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
)

// A plan ends with its seal: a digest of everything before it, so that a plan which somebody edited is known wherever it is read.
// The seal is no secret and keeps out no forger; what a forger may write is held to the rest of the plan by whoever reads it. Space
// between values does not count, for programs lay JSON out as they like.
const sealName = `"seal"`

// Seal puts the seal behind a plan's text, a JSON record laid out with two spaces.
func Seal(text []byte) []byte {
	digest, _ := SealOf(text)
	body := bytes.TrimRight(text, " \n\r\t")
	body = bytes.TrimRight(bytes.TrimSuffix(body, []byte("}")), " \n\r\t")
	out := append(make([]byte, 0, len(body)+96), body...)
	return append(append(append(out, ",\n  "+sealName+": \""...), digest...), "\"\n}\n"...)
}

// SealOf is the digest of a plan's text without its seal, and the seal that it carries, "" for none. The two are the same where nobody
// edited it.
func SealOf(text []byte) (digest, carried string) {
	dense := dense(text)
	open := []byte("," + sealName + `:"`)
	if at := len(dense) - len(open) - 2*sha256.Size - len(`"}`); at > 0 && bytes.HasPrefix(dense[at:], open) {
		from := at + len(open)
		carried = string(dense[from : from+2*sha256.Size])
		dense = append(dense[:at], '}')
	}
	sum := sha256.Sum256(dense)
	return hex.EncodeToString(sum[:]), carried
}

// dense is a JSON text without the space between its values.
func dense(text []byte) []byte {
	out := make([]byte, 0, len(text))
	for i := 0; i < len(text); i++ {
		switch c := text[i]; c {
		case ' ', '\n', '\r', '\t':
		case '"':
			end := i + 1
			for ; end < len(text) && text[end] != '"'; end++ {
				if text[end] == '\\' {
					end++
				}
			}
			end = min(end+1, len(text))
			out = append(out, text[i:end]...)
			i = end - 1
		default:
			out = append(out, c)
		}
	}
	return out
}
