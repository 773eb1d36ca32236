package batch

import (
	"strconv"
	"strings"

	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/report/encode"
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
	dst = encode.JSONText(append(dst, `{"time":`...), r.time)
	dst = encode.JSONText(append(dst, `,"pump":`...), r.pump)
	for i := range figures {
		dst = append(dst, jsonKeys[i]...)
		if r.fault != nil {
			dst = append(dst, "null"...)
			continue
		}
		dst = encode.Number(dst, figures[i].si(r)*factors[i], "null")
	}
	if r.fault != nil {
		dst = strconv.AppendInt(append(dst, `,"state":null,"flags":null,"error":{"row":`...), int64(r.fault.row), 10)
		dst = encode.JSONText(append(dst, `,"column":`...), r.fault.column)
		dst = encode.JSONText(append(dst, `,"why":`...), r.fault.err.Error())
		return append(dst, "}}"...)
	}
	dst = append(append(dst, `,"state":"`...), r.State.String()...)
	dst = appendFlags(append(dst, `","flags":[`...), r.Flags, `"`, ",")
	return append(dst, "]}"...)
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
	dst = encode.CSVText(dst, r.time)
	dst = encode.CSVText(append(dst, ','), r.pump)
	for i := range figures {
		dst = append(dst, ',')
		if r.fault == nil {
			dst = encode.Number(dst, figures[i].si(r)*factors[i], "")
		}
	}
	if r.fault != nil {
		dst = encode.CSVText(append(dst, ",,,"...), r.fault.Error())
		return append(dst, '\n')
	}
	dst = append(append(dst, ','), r.State.String()...)
	dst = appendFlags(append(dst, ','), r.Flags, "", " ")
	return append(dst, ",\n"...)
}
