package record

import (
	"crypto/sha1"
	"encoding/hex"
	"strings"
)

// space is the name space of our identities: the version 5 UUID of "isocue.example" in the DNS name space of RFC 9562,
// section 6.6.
var space = UUID5([16]byte{0x6b, 0xa7, 0xb8, 0x10, 0x9d, 0xad, 0x11, 0xd1, 0x80, 0xb4, 0x00, 0xc0, 0x4f, 0xd4, 0x30, 0xc8}, "isocue.example")

// Identity is a name-based UUID of what an entry is, never of what it says or when it is: a re-compile finds it again,
// and nobody can read a client's id out of it.
func Identity(parts ...string) string { return dashed(UUID5(space, strings.Join(parts, "\n"))) }

// dashed is a UUID in its usual form (RFC 9562, section 4).
func dashed(u [16]byte) string {
	var room [36]byte
	out := room[:0]
	from := 0
	for _, to := range []int{4, 6, 8, 10, 16} {
		if from > 0 {
			out = append(out, '-')
		}
		out = hex.AppendEncode(out, u[from:to])
		from = to
	}
	return string(out)
}

// UUID5 is the name-based UUID of RFC 9562, section 5.5.
func UUID5(space [16]byte, name string) (u [16]byte) {
	sum := sha1.Sum(append(space[:], name...))
	copy(u[:], sum[:])
	u[6] = u[6]&0x0f | 0x50
	u[8] = u[8]&0x3f | 0x80
	return u
}
