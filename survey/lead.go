package survey

import (
	"strings"
	"unicode"
)

// ByLead is the step of a note on a remark that begins with a code, whose shot is used as
// floor.
const ByLead = "lead"

// Lead is the code at the start of a remark that holds more. Its word is empty if there is
// none.
type Lead struct {
	Word    string // code, in upper case
	Role    Role
	Certain bool // no prose begins so: the remark can be read as the code
}

// Lead returns the code at the start of a remark. Codes of corners, breaklines and checks
// are common words, and are looked for in capitals alone: "out of level" is prose.
func (c *Codebook) Lead(remark string) Lead {
	t := strings.TrimSpace(remark)
	if t == "" || !unicode.IsLetter(rune(t[0])) {
		return Lead{}
	}
	if l, ok := c.leads[t]; ok {
		return l
	}
	l := c.lead(t)
	if c.leads == nil {
		c.leads = map[string]Lead{}
	}
	if len(c.leads) < 1<<12 {
		c.leads[strings.Clone(t)] = l
	}
	return l
}

func (c *Codebook) lead(t string) Lead {
	end := strings.IndexFunc(t, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if end < 0 {
		end = len(t)
	}
	word, rest := t[:end], t[end:]
	if field := strings.TrimRight(strings.Fields(t)[0], ",;:"); strings.Count(field, ".") > 1 { // F.F.L.
		word, rest = strings.ReplaceAll(field, ".", ""), t[len(field):]
	}
	up := strings.ToUpper(word)
	role, known := c.word(up)
	benchmark := up == "BM" || up == "TBM" || up == "BENCHMARK"
	drain := IsDrain(up)
	if !known {
		second := strings.ToUpper(strings.TrimFunc(firstWord(rest), func(r rune) bool { return !unicode.IsLetter(r) }))
		switch {
		case drain, isDrainWord(up+" "+second) && second != "":
			up, drain = drainCodes[0], true
			role, known = c.word(up)
		case up == "FINISH" && second == "FLOOR":
			up = "FINISHED"
			role, known = c.word(up)
		}
	}
	switch capitals := word == strings.ToUpper(word); {
	case !known || role == Floor:
		return Lead{}
	case role == Finished || drain || benchmark:
		return Lead{up, role, capitals && !wordsOnly[up] && DefaultCodes[strings.ToUpper(word)] == role && parted(rest)}
	case capitals && !wordsOnly[up]:
		return Lead{Word: up, Role: role}
	}
	return Lead{}
}

// firstWord returns the first word of a text, empty if there is none.
func firstWord(t string) string {
	for _, w := range strings.Fields(t) {
		return w
	}
	return ""
}

// parted reports whether punctuation separates the text after a code from it.
func parted(rest string) bool {
	t := strings.TrimSpace(rest)
	return strings.HasPrefix(rest, ",") || t != "" && strings.ContainsRune(",;:/-–—", []rune(t)[0])
}
