package spec

import (
	"fmt"
	"regexp"
	"strings"
)

// Words that no name of a spec may be, by why. Names are compared in small letters and, for macros, in capitals.
const (
	cWords = `auto break case char const continue default do double else enum extern float for goto if inline int long
		register restrict return short signed sizeof static struct switch typedef union unsigned void volatile while
		alignas alignof bool constexpr false nullptr static_assert thread_local true typeof typeof_unqual asm`
	cppWords = `and and_eq bitand bitor catch class co_await co_return co_yield compl concept const_cast consteval constinit
		decltype delete dynamic_cast explicit export friend mutable namespace new noexcept not not_eq operator or or_eq
		private protected public reinterpret_cast requires static_cast template this throw try typeid typename using
		virtual wchar_t xor xor_eq char8_t char16_t char32_t`
	goWords = `chan defer fallthrough func go import interface map package range select type var`
	goNames = `any append cap clear close comparable complex complex64 complex128 copy error float32 float64 imag int8 int16
		int32 int64 iota len make max min nil panic print println real recover rune string uint uint8 uint16 uint32
		uint64 uintptr byte init`
	cTypes = `size_t ssize_t ptrdiff_t intmax_t uintmax_t intptr_t uintptr_t max_align_t nullptr_t rsize_t sig_atomic_t
		wint_t time_t clock_t`
	cMacros = `char_bit schar_min schar_max uchar_max char_min char_max mb_len_max shrt_min shrt_max ushrt_max int_min int_max
		uint_max long_min long_max ulong_max llong_min llong_max ullong_max intmax_min intmax_max uintmax_max intptr_min
		intptr_max uintptr_max ptrdiff_min ptrdiff_max size_max sig_atomic_min sig_atomic_max wchar_min wchar_max
		wint_min wint_max intmax_c uintmax_c errno assert null eof edom erange linux unix i386 near far small
		stdin stdout stderr imaginary noreturn`
)

// reserved tells why a name is taken.
var reserved = reservedWords()

func reservedWords() map[string]string {
	words := map[string]string{"main": "the function that starts a program",
		"first_tick": "this tool's own name for the first tick", "inputs": "this tool's own name for the inputs"}
	add := func(list, why string) {
		for w := range strings.FieldsSeq(list) {
			if words[w] == "" {
				words[w] = why
			}
		}
	}
	add(cWords, "a keyword of C")
	add(cppWords, "a keyword of C++")
	add(goWords, "a keyword of Go")
	add(goNames, "a name that Go declares itself")
	add("then rises falls previous", "a word of formulas")
	add(cTypes, "a type of the C library")
	add(cMacros, "a macro of C compilers or headers, in these letters or in capitals")
	for _, bits := range []int{8, 16, 32, 64} {
		for _, form := range []string{"", "_least", "_fast"} {
			for _, u := range []string{"", "u"} {
				add(fmt.Sprintf("%sint%s%d_t", u, form, bits), "a type of <stdint.h>")
				add(fmt.Sprintf("%[1]sint%[2]s%[3]d_max %[1]sint%[2]s%[3]d_min %[1]sint%[3]d_c", u, form, bits), "a macro of <stdint.h>, in capitals")
			}
		}
	}
	return words
}

// IsKeyword tells whether a word is a keyword of C or C++.
func IsKeyword(word string) bool { return strings.HasPrefix(reserved[word], "a keyword of C") }

// deviceName matches what cannot be a file name on Windows; a controller's name becomes one.
var deviceName = regexp.MustCompile(`^(con|prn|aux|nul|com[0-9]|lpt[0-9])$`)
