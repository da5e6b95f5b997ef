package plan

// nestingMost is how deep lists and objects may stand in one another in a plan
// file. The plan's own stand five deep; what is kept unread may go deeper, but
// every level indents it further when it is written.
const nestingMost = 16

// nesting is how deep lists and objects stand in one another in JSON that is
// known to be well-formed.
func nesting(file []byte) int {
	depth, most := 0, 0
	inText := false
	for i := 0; i < len(file); i++ {
		switch c := file[i]; {
		case inText:
			switch c {
			case '\\':
				i++
			case '"':
				inText = false
			}
		case c == '"':
			inText = true
		case c == '{' || c == '[':
			depth++
			most = max(most, depth)
		case c == '}' || c == ']':
			depth--
		}
	}
	return most
}
