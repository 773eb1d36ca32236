package batch

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"

	"example.org/headwatch/internal/hydraulics"
)

// jsonKeys is what stands before each figure.
var jsonKeys = func() (keys [len(figures)]string) {
	for i := range keys {
		keys[i] = `,"` + figures[i].name + `":`
	}
	return keys
}()

// appendFlags appends the names of the flags set, each in the quote given.
func appendFlags(dst []byte, f hydraulics.Flags, quote, separator string) []byte {
	if f == 0 {
		return dst
	}
	var names [16]string
	for i, name := range f.Append(names[:0]) {
		if i > 0 {
			dst = append(dst, separator...)
		}
		dst = append(append(append(dst, quote...), name...), quote...)
	}
	return dst
}

func appendJSON(dst []byte, r *record) []byte {
	dst = appendJSONText(append(dst, `{"time":`...), r.time)
	dst = appendJSONText(append(dst, `,"pump":`...), r.pump)
	for i := range figures {
		dst = append(dst, jsonKeys[i]...)
		if r.fault != nil {
			dst = append(dst, "null"...)
			continue
		}
		dst = appendNumber(dst, figures[i].si(r)*factors[i], "null")
	}
	if r.fault != nil {
		dst = strconv.AppendInt(append(dst, `,"state":null,"flags":null,"error":{"row":`...), int64(r.fault.row), 10)
		dst = appendJSONText(append(dst, `,"column":`...), r.fault.column)
		dst = appendJSONText(append(dst, `,"why":`...), r.fault.err.Error())
		return append(dst, "}}"...)
	}
	dst = append(append(dst, `,"state":"`...), r.State.String()...)
	dst = appendFlags(append(dst, `","flags":[`...), r.Flags, `"`, ",")
	return append(dst, "]}"...)
}

// appendJSONText appends s, or null when it is empty.
func appendJSONText(dst []byte, s string) []byte {
	if s == "" {
		return append(dst, "null"...)
	}
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '"' || c == '\\' {
			text, _ := json.Marshal(s) // of a string never fails
			return append(dst, text...)
		}
	}
	return append(append(append(dst, '"'), s...), '"')
}

// appendNumber appends v with all its digits in a form that JSON knows, or the
// word given for what is absent.
func appendNumber(dst []byte, v float64, absent string) []byte {
	form := byte('f')
	switch abs := math.Abs(v); {
	case !(abs <= math.MaxFloat64):
		return append(dst, absent...)
	case abs != 0 && abs < 1e-6 || abs >= 1e21:
		form = 'e'
	}
	return strconv.AppendFloat(dst, v, form, -1, 64)
}

func csvHead() string {
	var head strings.Builder
	head.WriteString("time,pump")
	for i := range figures {
		head.WriteString("," + figures[i].name)
	}
	return head.String() + ",state,flags,error\n"
}

func appendCSV(dst []byte, r *record) []byte {
	dst = appendCSVText(dst, r.time)
	dst = appendCSVText(append(dst, ','), r.pump)
	for i := range figures {
		dst = append(dst, ',')
		if r.fault == nil {
			dst = appendNumber(dst, figures[i].si(r)*factors[i], "")
		}
	}
	if r.fault != nil {
		dst = appendCSVText(append(dst, ",,,"...), r.fault.Error())
		return append(dst, '\n')
	}
	dst = append(append(dst, ','), r.State.String()...)
	dst = appendFlags(append(dst, ','), r.Flags, "", " ")
	return append(dst, ",\n"...)
}

// appendCSVText appends a field, in quotes where it has to be.
func appendCSVText(dst []byte, s string) []byte {
	if !strings.ContainsAny(s, ",\"\r\n") {
		return append(dst, s...)
	}
	return append(append(append(dst, '"'), strings.ReplaceAll(s, `"`, `""`)...), '"')
}
