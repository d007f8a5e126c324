package guard

import (
	"fmt"

	"cuelang.org/go/cue/scanner"
	"cuelang.org/go/cue/token"

	"isocue.example/compiler/finding"
)

// Bounds on what the parser beneath is given: its time grows with the square of errors, of nesting and of some things that
// compute, and no data has many of them. In a small file the square is small too, and nothing is counted.
const (
	small     = 8 << 10
	bulkDepth = 100  // levels, in brackets or as a: b: c: 1
	bulkOdd   = 3000 // tokens that no data has; a clinic's rules have some
)

// bulk refuses a CUE text that the parser would take long over. It goes through the tokens once; a finding is told where the
// bound is passed.
func bulk(name string, src []byte) []finding.Finding {
	if len(src) < small {
		return nil
	}
	c := &checker{name: name}
	file := token.NewFile(name, -1, len(src))
	slips := 0
	var s scanner.Scanner
	s.Init(file, src, func(p token.Pos, msg string, args []any) {
		if slips++; slips <= maxFindings {
			c.add(pos(name, p), Unreadable, "cannot be read as CUE: "+fmt.Sprintf(msg, args...), repairSyntax, unreadWhy)
		}
	}, 0)
	depth, odd := 0, 0
	var chains []int // for each open bracket, how many of depth are labels before it
	chain := 0       // labels since the last bracket or comma: a: b: c:
	for slips < maxFindings {
		p, tok, lit := s.Scan()
		switch tok {
		case token.EOF:
			return finding.Sort(c.out)
		case token.LBRACE, token.LBRACK, token.LPAREN:
			chains, chain = append(chains, chain), 0
			depth++
		case token.RBRACE, token.RBRACK, token.RPAREN:
			depth -= chain
			chain = 0
			if n := len(chains); n > 0 {
				chain, chains = chains[n-1], chains[:n-1]
				depth--
			}
		case token.COLON:
			depth++
			chain++
		case token.COMMA:
			depth -= chain
			chain = 0
		case token.IDENT, token.STRING, token.INT, token.FLOAT, token.TRUE, token.FALSE, token.NULL, token.ADD, token.SUB:
		case token.INTERPOLATION: // its end is not for a scanner to find
			c.add(pos(name, p), DataOnly, "a text with \\( ) is not data, allowed: one plain value", writePlain, dataWhy)
			return c.out
		default:
			odd++
		}
		switch {
		case depth > bulkDepth:
			c.add(pos(name, p), DataOnly, fmt.Sprintf("nested deeper than %d levels", maxDepth), writePlain, dataWhy)
			return c.out
		case odd > bulkOdd:
			c.add(pos(name, p), DataOnly, fmt.Sprintf("%s computes, and the file does so in more than %d places, allowed: fields and plain values", cut(said(tok, lit)), bulkOdd), writePlain, dataWhy)
			return c.out
		}
	}
	return finding.Sort(c.out)
}

// said is how a token is written.
func said(tok token.Token, lit string) string {
	if lit != "" {
		return lit
	}
	return tok.String()
}
