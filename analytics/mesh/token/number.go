package token

import "strconv"

// exactTens are the powers of ten that float64 holds exactly.
var exactTens = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// Number reads a decimal number, the nearest float64 to it. What has up to 15
// digits and a small exponent needs one exact product or quotient (W. D.
// Clinger, PLDI 1990); the rest, with infinities and what is not a number, goes
// to strconv.
func Number(word []byte) (float64, bool) {
	var mantissa uint64
	digits, fraction, i := 0, 0, 0
	negative := false
	if len(word) > 0 && (word[0] == '-' || word[0] == '+') {
		negative = word[0] == '-'
		i = 1
	}
	first := i
	for ; i < len(word) && word[i]-'0' <= 9; i++ {
		mantissa = 10*mantissa + uint64(word[i]-'0')
	}
	digits = i - first
	if i < len(word) && word[i] == '.' {
		first = i + 1
		for i++; i < len(word) && word[i]-'0' <= 9; i++ {
			mantissa = 10*mantissa + uint64(word[i]-'0')
		}
		fraction = i - first
		digits += fraction
	}
	exponent, ok := 0, true
	if i < len(word) {
		exponent, ok = smallExponent(word[i:])
	}
	exponent -= fraction
	if !ok || digits == 0 || digits > 15 || exponent < -22 || exponent > 22 {
		value, err := strconv.ParseFloat(string(word), 64)
		return value, err == nil
	}
	value := float64(mantissa)
	if exponent < 0 {
		value /= exactTens[-exponent]
	} else {
		value *= exactTens[exponent]
	}
	if negative {
		value = -value
	}
	return value, true
}

// smallExponent reads e5, E-05 and the like of up to three digits.
func smallExponent(text []byte) (int, bool) {
	if text[0]|0x20 != 'e' || len(text) < 2 {
		return 0, false
	}
	text = text[1:]
	negative := text[0] == '-'
	if negative || text[0] == '+' {
		text = text[1:]
	}
	if len(text) == 0 || len(text) > 3 {
		return 0, false
	}
	n := 0
	for _, c := range text {
		if c-'0' > 9 {
			return 0, false
		}
		n = 10*n + int(c-'0')
	}
	if negative {
		n = -n
	}
	return n, true
}

// Whole reads a whole number of up to 18 digits.
func Whole(word []byte) (int, bool) {
	negative := len(word) > 0 && word[0] == '-'
	if negative {
		word = word[1:]
	}
	if len(word) == 0 || len(word) > 18 {
		return 0, false
	}
	n := 0
	for _, c := range word {
		if c-'0' > 9 {
			return 0, false
		}
		n = 10*n + int(c-'0')
	}
	if negative {
		n = -n
	}
	return n, true
}
