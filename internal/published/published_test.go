package published

import (
	"math"
	"testing"
)

func TestSplit(t *testing.T) {
	tests := []struct{ key, name, unit string }{
		{"suction_gauge_inHg", "suction_gauge", "inHg"},
		{"flow_m3_per_h", "flow", "m3_per_h"},
		{"suction_loss_k_m_per_m3s2", "suction_loss_k", "m_per_m3s2"},
		{"rise_F_per_min", "rise", "F_per_min"},
		{"period_2l_over_c_s", "period_2l_over_c", "s"},
		{"C_eta_ratio", "C_eta", "ratio"},
		{"vcf", "vcf", ""},
		{"c_q", "c_q", ""},
	}
	for _, tt := range tests {
		if name, unit := split(tt.key); name != tt.name || unit != tt.unit {
			t.Errorf("split(%q) = %q, %q, want %q, %q", tt.key, name, unit, tt.name, tt.unit)
		}
	}
}

func TestSI(t *testing.T) {
	tests := []struct {
		v      float64
		unit   string
		want   float64
		source string
	}{
		{1, "psi", 6894.757293168361, "NIST SP 811, B.8"},
		{60, "degF", 288.70555555555556, "(60 + 459.67) · 5/9 K"},
		{15, "degC", 288.15, "15 + 273.15 K"},
		{1, "Btu_per_lb_degF", 4186.8, "NIST SP 811, B.8: exactly 4186.8 J/(kg K)"},
		{1, "hp", 745.69987158227, "NIST SP 811, B.8: 550 ft lbf/s"},
		{1, "USgpm", 6.30901964e-5, "NIST SP 811, B.8"},
		{3, "", 3, "a plain number"},
	}
	for _, tt := range tests {
		if got := si(tt.v, tt.unit); !(math.Abs(got-tt.want) <= 1e-9*tt.want) {
			t.Errorf("%g %s is %.12g, want %.12g (%s)", tt.v, tt.unit, got, tt.want, tt.source)
		}
		if back := from(si(tt.v, tt.unit), tt.unit); !(math.Abs(back-tt.v) <= 1e-12*tt.v) {
			t.Errorf("%g %s there and back is %.15g", tt.v, tt.unit, back)
		}
	}
}

// A row compares in its own unit, and under the name without one.
func TestRow(t *testing.T) {
	r := Row{Inputs: map[string]any{"flow_m3_per_h": 3600.0, "table_ullage_m": []any{1.0, 2.0}, "table": "54A"},
		Expect: map[string]any{"head_ft": 10.0}, T: t, compared: map[string]bool{}}
	r.Tolerance.Abs = 1e-9
	if r.In("flow") != 1 || r.Or("speed", 5) != 5 || len(r.List("table_ullage")) != 2 || r.Text("table") != "54A" {
		t.Errorf("flow %g, list %v, table %q", r.In("flow"), r.List("table_ullage"), r.Text("table"))
	}
	r.Want("head", 3.048)
	r.Want("efficiency", 0) // not expected: nothing to compare
	if !r.compared["head_ft"] || len(r.compared) != 1 {
		t.Errorf("compared %v, want head_ft alone", r.compared)
	}
}
