package units_test

import (
	"fmt"

	"example.org/headwatch/internal/units"
)

func ExampleParse() {
	p, err := units.Parse(units.Pressure, "8.5 bar")
	fmt.Println(p, err)
	_, err = units.Parse(units.Pressure, "8,5 bar")
	fmt.Println(err)
	// Output:
	// 850000 <nil>
	// pressure "8,5 bar": decimal comma, want a dot
}

func ExampleParseKeyed() {
	for _, s := range []string{"9.1", "9,1", "9.1 psi", "9.1±0.2"} {
		k, err := units.ParseKeyed(units.Pressure, s, "bar")
		fmt.Printf("%s: %.0f ± %.0f Pa %v\n", k.Text, k.SI, k.Half, err)
	}
	// Output:
	// 9.1: 910000 ± 5000 Pa <nil>
	// 9,1: 910000 ± 5000 Pa <nil>
	// 9.1 psi: 62742 ± 345 Pa <nil>
	// 9.1±0.2: 910000 ± 20000 Pa <nil>
}

func ExampleParseNumber() {
	v, err := units.ParseNumber("1075")
	fmt.Println(v, err)
	// Output: 1075 <nil>
}

func ExampleParseFlow() {
	q, err := units.ParseFlow("858 t/h", 858)
	fmt.Println(units.Format(units.Flow, q, "m3/h", 0), err)
	// Output: 1000 m3/h <nil>
}

func ExampleParsePressure() {
	p, err := units.ParsePressure("10 m", 860)
	fmt.Println(units.Format(units.Pressure, p, "bar", 3), err)
	// Output: 0.843 bar <nil>
}

func ExampleParseRange() {
	span, err := units.ParseRange(units.Pressure, "-1..5 bar")
	fmt.Println(span.Lo, span.Hi, span.Unit, err)
	// Output: -100000 500000 bar <nil>
}

func ExampleParseLoss() {
	k, err := units.ParseLoss("4.5 m at 2500 m3/h")
	fmt.Printf("%.4f s2/m5 %v\n", k, err)
	// Output: 9.3312 s2/m5 <nil>
}

func ExampleFormat() {
	fmt.Println(units.Format(units.Pressure, 850000, "bar", 2))
	fmt.Println(units.Number(units.Pressure, 850000, "psi", 1))
	// Output:
	// 8.50 bar
	// 123.3
}

func ExampleFrom() {
	p, err := units.From(units.Pressure, 100, "psi")
	fmt.Printf("%.0f Pa %v\n", p, err)
	p, err = units.To(units.Pressure, p, "kgf/cm2")
	fmt.Printf("%.2f kgf/cm2 %v\n", p, err)
	// Output:
	// 689476 Pa <nil>
	// 7.03 kgf/cm2 <nil>
}

func ExampleNearest() {
	fmt.Println(units.Nearest("dischrge", []string{"suction", "discharge", "speed"}))
	// Output: [discharge]
}
