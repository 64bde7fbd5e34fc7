package dxf

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// encode returns s as a string value of the format in printable ASCII. What
// the format would read as a control code (%%d, \U+…, ^J) is written so that
// it reads as the letters themselves.
func encode(s string) (string, error) {
	if !utf8.ValidString(s) {
		return "", fmt.Errorf("not valid UTF-8")
	}
	var b strings.Builder
	for i, r := range s {
		rest := s[i+utf8.RuneLen(r):]
		switch {
		case r == '^':
			b.WriteString("^ ")
		case r == '%' && strings.HasPrefix(rest, "%"), r == '\\' && (strings.HasPrefix(rest, "U+") || strings.HasPrefix(rest, "M+")):
			fmt.Fprintf(&b, `\U+%04X`, r)
		case r < ' ', r == 0x7f:
			b.WriteByte(' ')
		case r < 0x7f:
			b.WriteRune(r)
		case r <= 0xffff:
			fmt.Fprintf(&b, `\U+%04X`, r)
		default:
			b.WriteByte('?')
		}
	}
	if b.Len() > maxText {
		return "", fmt.Errorf("longer than %d bytes", maxText)
	}
	return b.String(), nil
}
