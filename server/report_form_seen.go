package server

import (
	"strings"
	"unicode"
)

// seenText is a client's own text without the signs that are not seen, which a phone's
// keyboard may put into it and nobody is to be asked about; "" where nothing else is.
func seenText(text string) string {
	text = strings.Map(seen, strings.ToValidUTF8(text, ""))
	if !strings.ContainsFunc(text, leavesInk) {
		return ""
	}
	return text
}

// seen leaves a sign of a text as it is, or -1 for one that is not seen: control
// signs, those that turn the direction of the text around them, and those that only
// say where a word may be broken. Signs that join letters or emojis stay.
func seen(sign rune) rune {
	switch {
	case sign == '\n', sign == '\r', sign == '\t':
		return sign
	case sign == '\u2028', sign == '\u2029':
		return '\n'
	case sign == '\u200b', sign == '\u2060', sign == '\ufeff', sign == '\u00ad',
		unicode.IsControl(sign), sign >= '\u202a' && sign <= '\u202e', sign >= '\u2066' && sign <= '\u2069':
		return -1
	}
	return sign
}

// leavesInk tells whether a sign is seen where it stands alone.
func leavesInk(sign rune) bool {
	return sign != '\u2800' && !unicode.IsSpace(sign) && // the empty Braille pattern
		!unicode.In(sign, unicode.Cc, unicode.Cf, unicode.Variation_Selector, unicode.Other_Default_Ignorable_Code_Point)
}
