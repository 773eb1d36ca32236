package encode

import "strconv"

// JSON appends one JSON value after another to Buf, with commas where they
// belong. Keys must need no escape.
type JSON struct {
	Buf   []byte
	comma bool
}

// Key begins a member of an object.
func (j *JSON) Key(key string) {
	j.next()
	j.Buf = append(append(append(j.Buf, '"'), key...), '"', ':')
	j.comma = false
}

func (j *JSON) next() {
	if j.comma {
		j.Buf = append(j.Buf, ',')
	}
	j.comma = true
}

// Open begins an object or an array: '{' or '['.
func (j *JSON) Open(bracket byte) {
	j.next()
	j.Buf = append(j.Buf, bracket)
	j.comma = false
}

// Close ends it: '}' or ']'.
func (j *JSON) Close(bracket byte) {
	j.Buf = append(j.Buf, bracket)
	j.comma = true
}

// Number appends a member; null when v is not finite.
func (j *JSON) Number(key string, v float64) {
	j.Key(key)
	j.comma = true
	j.Buf = Number(j.Buf, v, "null")
}

// Integer appends a member.
func (j *JSON) Integer(key string, v int) {
	j.Key(key)
	j.comma = true
	j.Buf = strconv.AppendInt(j.Buf, int64(v), 10)
}

// Text appends a member; null when s is empty.
func (j *JSON) Text(key, s string) {
	j.Key(key)
	j.comma = true
	j.Buf = JSONText(j.Buf, s)
}

// Bool appends a member.
func (j *JSON) Bool(key string, v bool) {
	j.Key(key)
	j.comma = true
	j.Buf = strconv.AppendBool(j.Buf, v)
}

// Null appends a member without a value.
func (j *JSON) Null(key string) {
	j.Key(key)
	j.comma = true
	j.Buf = append(j.Buf, "null"...)
}

// Item appends a text to an array.
func (j *JSON) Item(s string) {
	j.next()
	j.Buf = JSONText(j.Buf, s)
}
