// SPDX-License-Identifier: BSL-1.0
// Measured curves from text, and what is wrong with them.
#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/analysis/sweep.hpp>
#include <lodewire/design/curve_csv.hpp>
#include <lodewire/design/identify_coil.hpp>
#include <lodewire/design/measured_divider.hpp>
#include <lodewire/design/touchstone.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using complex = std::complex<double>;

namespace {

complex polar_deg(double size, double deg) { return std::polar(size, deg * std::numbers::pi / 180); }

/// The text of the `text_error` or `invalid_value`.
template <class F>
std::string refusal(F f) {
  try {
    f();
  } catch (const std::invalid_argument& error) {
    return error.what();
  }
  return "no error";
}

std::string csv_error(std::string_view text, const csv_columns& columns = {}) {
  return refusal([&] { (void)read_curve_csv(text, columns); });
}
std::string touchstone_error(std::string_view text) {
  return refusal([&] { (void)read_touchstone(text); });
}
bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

const magnetic_coil coil{
    .inductance = 1.9_H, .resistance = 6.2_kOhm, .capacitance = 130_pF, .eddy = {{{0.5_H, 22_kOhm}}}};

measured_curve of_coil(double noise = 0) {
  measured_curve c{.hz = log_grid(50_Hz, 25_kHz, 60)};
  c.value = sweep_impedance(source(coil), c.hz).response;
  std::mt19937_64 bits(3);
  const auto uniform = [&] { return static_cast<double>(bits() >> 11U) * 0x1p-52 - 1; };
  for (complex& z : c.value) z *= 1.0 + noise * complex(uniform(), uniform());
  return c;
}
std::string suspicion(const measured_curve& c) {
  std::string all;
  for (const std::string& s : find_suspicions(c)) all += s + "; ";
  return all;
}

} // namespace

TEST_CASE("columns by their headings, units by how these end") {
  const measured_curve a =
      read_curve_csv("# a comment\n\nfrequency_hz,z_ohm,z_deg\n100,5000,30\r\n200,6e3,-45.5\n");
  REQUIRE(a.size() == 2);
  CHECK(a.kind == curve_kind::ohms);
  CHECK(a.hz == std::vector<double>{100, 200});
  CHECK(near(a.value[0], polar_deg(5000, 30), 1e-12));
  CHECK(near(a.value[1], polar_deg(6000, -45.5), 1e-12));

  const measured_curve b = read_curve_csv("f_khz;re_kohm;im_kohm;remark\n0.1; 4.5 ;+2;7\n.2;4;-2;8");
  CHECK(b.hz == std::vector<double>{100, 200});
  CHECK(near(b.value[0], complex(4500, 2000), 1e-12));
  CHECK(near(b.value[1], complex(4000, -2000), 1e-12));

  const measured_curve h = read_curve_csv("f_hz\tgain_db\tphase_rad\n1000\t-6.0206\t0.5\n");
  CHECK(h.kind == curve_kind::ratio);
  CHECK(near(h.value[0], std::polar(0.5, 0.5), 1e-6));

  const std::string_view both = "f_hz,a_ohm,a_deg,b_mohm,b_deg\n10,1,2,3,4\n";
  CHECK(near(read_curve_csv(both).value[0], polar_deg(1, 2), 1e-12));
  CHECK(near(read_curve_csv(both, {"f_hz", "b_mohm", "B_DEG"}).value[0], polar_deg(3e6, 4), 1e-12));
  const measured_curve alone = read_curve_csv(both, {"f_hz", "b_mohm", ""});
  CHECK(alone.magnitude_only);
  CHECK(near(alone.value[0], complex(3e6), 1e-12));
  CHECK(read_curve_csv("f_hz,level_db\n10,-3\n").magnitude_only);
}

TEST_CASE("text that is no curve is refused by line and column") {
  CHECK(csv_error("") == "curve line 1: \"\" is no value: at column 1, expected a line of headings, such as "
                         "frequency_hz,z_ohm,z_deg");
  CHECK(has(csv_error("z_ohm,z_deg\n1,2\n"), "at column 1, expected a heading for the frequency"));
  CHECK(has(csv_error("f_hz,z_deg\n1,2\n"), "expected a heading for a magnitude or a real part"));
  CHECK(has(csv_error("f_hz,z_ohm\n1,2\n", {"f_hz", "z_ohm", "phase_deg"}),
            "a heading 'phase_deg' in this line"));
  CHECK(
      has(csv_error("f_hz,re_ohm,im_kohm\n1,2,3\n", {"f_hz", "re_ohm", "im_kohm"}),
          "at column 13, expected an angle (_deg, _rad), or an imaginary part in the unit of the real one"));
  CHECK(csv_error("f_hz,z_ohm\n1,2\n2,three\n") ==
        "curve line 3: \"2,three\" is no value: at column 3, expected a number");
  CHECK(has(csv_error("f_hz;z_ohm\n1;2,5\n"),
            "at column 3, expected a point before the decimals, not a comma"));
  CHECK(has(csv_error("f_hz,z_ohm,z_deg\n1,2\n"),
            "at column 4, expected as many columns as there are headings: 3"));
  CHECK(has(csv_error("f_hz,z_ohm,z_deg\n1,2,3,4\n"), "at column 7, expected as many columns"));
  CHECK(has(csv_error("f_hz,z_ohm\n1,nan\n"), "at column 3, expected a finite number"));
  CHECK(has(csv_error("f_hz,z_ohm\n1,inf\n"), "expected a finite number"));
  CHECK(has(csv_error("f_hz,z_ohm\n1,1e999\n"), "expected a size that a double holds"));
  CHECK(has(csv_error("f_hz,z_ohm\n1,-5\n"), "expected a magnitude of more than 0"));
  CHECK(csv_error("f_hz,z_ohm\n") == "curve is 0 points; allowed: 1 or more");
  CHECK(csv_error("f_hz,z_ohm\n2,5\n1,5\n") ==
        "curve, point 2 of 2 is 1 Hz after 2 Hz; allowed: rising frequencies");
  CHECK(csv_error("f_hz,z_ohm\n2,5\n2,5\n") ==
        "curve, point 2 of 2 is a second one at 2 Hz; allowed: each frequency once");
  CHECK(csv_error("f_hz,z_ohm\n0,5\n") == "curve, point 1 of 1 is 0 Hz; allowed: more than 0 Hz, and finite");
  CHECK(csv_error("f_khz,z_ohm\n1e308,5\n") ==
        "curve, point 1 of 1 is infinity Hz; allowed: more than 0 Hz, and finite");
}

TEST_CASE("every example of the Touchstone specification") {
  // Touchstone File Format Specification, revision 1.1 (EIA/IBIS); S11 computed from the formula.
  const measured_curve s =
      read_touchstone("!1-port S-parameter file, single frequency point\n# MHz S MA R 50\n"
                      "!freq magS11 angS11\n2.000 0.894 -12.136\n");
  REQUIRE(s.size() == 1);
  CHECK(s.hz[0] == 2e6);
  const complex s11(0.874020294860635, -0.187948195446853);
  CHECK(near(s.value[0], 50.0 * (1.0 + s11) / (1.0 - s11), 1e-12));
  const measured_curve db = read_touchstone("# MHz S DB R 50\n2.000 -0.97 -12.136\n");
  const complex s_db = std::pow(10, -0.97 / 20) * polar_deg(1, -12.136);
  CHECK(near(db.value[0], 50.0 * (1.0 + s_db) / (1.0 - s_db), 1e-12));

  // The same network in version 1.1, normalised to 75 Ω, and in version 2.0, in ohms; [Reference] must not rescale it.
  const measured_curve one =
      read_touchstone("!1-port Z-parameter file, multiple frequency points\n# MHz Z MA R 75\n"
                      "!freq magZ11 angZ11\n100 0.99 -4\n200 0.80 -22\n300 0.707 -45\n"
                      "400 0.40 -62\n500 0.01 -89\n");
  const measured_curve two = read_touchstone("[Version] 2.0\n# MHz Z MA\n[Number of Ports] 1\n"
                                             "[Number of Frequencies] 5\n[Reference] 20.0\n[Network Data]\n"
                                             "!freq magZ11 angZ11\n100 74.25 -4\n200 60 -22\n300 53.025 -45\n"
                                             "400 30 -62\n500 0.75 -89\n[End]\n");
  const complex z[] = {{74.069131, -5.179418},
                       {55.631031, -22.476396},
                       {37.494337, -37.494337},
                       {14.084147, -26.488428},
                       {0.013089, -0.749886}}; // computed from the formula
  REQUIRE(one.size() == 5);
  REQUIRE(two.size() == 5);
  for (std::size_t i = 0; i < 5; ++i) {
    CHECK(one.hz[i] == 1e8 * static_cast<double>(i + 1));
    CHECK(std::abs(one.value[i] - z[i]) < 1e-6);
    CHECK(near(one.value[i], two.value[i], 1e-12));
    CHECK(two.hz[i] == one.hz[i]);
  }
  // A public test: normalised to 50 Ω.
  CHECK(near(read_touchstone("# GHz Z RI R 50\n1.0 1.462 0.85\n").value[0], {73.1, 42.5}, 1e-12));
  CHECK(read_touchstone("# GHz Z RI R 50\n1.0 1.462 0.85\n").hz[0] == 1e9);
}

TEST_CASE("what the option line leaves out takes its default, and the rest of the syntax") {
  const complex s11 = polar_deg(0.5, 90), z = 50.0 * (1.0 + s11) / (1.0 - s11);
  for (const char* text :
       {"#\n1 0.5 90\n", "# r 50\n1 0.5 90", "#GHZ s mA R 50.0\n1 .5 90 ! a comment\n",
        "\t# MA R 50 GHz S\r\n\r\n1\t0.5\t90\r\n", "# GHz S MA R 50\n# Hz Z RI R 1\n1 0.5 90\n"}) {
    CAPTURE(std::string(text));
    const measured_curve c = read_touchstone(text);
    CHECK(c.hz[0] == 1e9);
    CHECK(near(c.value[0], z, 1e-12));
  }
  CHECK(near(read_touchstone("# Hz Y RI R 75\n1 0.5 0\n").value[0], complex(150), 1e-12));
  CHECK(near(
      read_touchstone("[Version] 2.0\n# Hz Y RI R 75\n[Number of Ports] 1\n[Network Data]\n1 0.5 0\n[End]")
          .value[0],
      complex(2), 1e-12));
  CHECK(near(
      read_touchstone("[version]2.0\n# Hz S RI\n[NUMBER OF PORTS] 1\n[Reference] 100\n[Begin Information]\n"
                      "anything 1 2 3 4\n[End Information]\n[Network Data]\n1 0 0\n[End]\nafter")
          .value[0],
      complex(100), 1e-12));
}

TEST_CASE("Touchstone files that are refused") {
  CHECK(touchstone_error("") ==
        "touchstone line 1: \"\" is no value: at column 1, expected an option line, such as # Hz Z RI R 50");
  // Two ports: 11, 21, 12, 22 on one line.
  CHECK(has(touchstone_error("# GHz S MA R 50\n1 .9 10 .1 20 .1 20 .9 10\n"),
            "touchstone line 2: \"1 .9 10 .1 20 .1 20 .9 10\" is no value: at column 9, expected a frequency "
            "and one "
            "pair: a file of one port"));
  CHECK(has(touchstone_error("[Version] 2.0\n# GHz S MA\n[Number of Ports] 2\n"),
            "at column 19, expected one port: a file of more is no single impedance"));
  CHECK(has(touchstone_error("# GHz G MA R 50\n1 2 3\n"),
            "at column 7, expected S, Y or Z: G and H belong to two ports"));
  CHECK(has(touchstone_error("# THz S MA R 50\n"), "at column 3, expected a unit (GHz, MHz, kHz, Hz)"));
  CHECK(has(touchstone_error("# GHz S MA R\n"), "at column 13, expected the reference in ohms after R"));
  CHECK(has(touchstone_error("# GHz S MA R -50\n"), "expected a reference of more than 0 Ω"));
  CHECK(has(touchstone_error("1 2 3\n# GHz\n"), "expected the option line (#) before the data"));
  CHECK(has(touchstone_error("# Hz Z RI R 1\n2 1 1\n1 1 1\n"),
            "line 3: \"1 1 1\" is no value: at column 1, expected rising"));
  CHECK(has(touchstone_error("# Hz Z RI R 1\n2 1 1\n2 1 1\n"), "expected rising frequencies"));
  CHECK(has(touchstone_error("# MHz Z RI R 1\n1e308 1 1\n"),
            "at column 1, expected a finite frequency of more than 0")); // finite until it is in Hz
  CHECK(has(touchstone_error("# Hz S RI R 50\n1 1 0\n"), "expected an impedance that is not infinite"));
  CHECK(has(touchstone_error("# Hz Z RI R 50\n1 0 0\n"), "expected an impedance that is finite and not 0"));
  CHECK(has(touchstone_error("# Hz Z RI R 50\n1 nan 0\n"), "expected a finite number"));
  CHECK(has(touchstone_error("# Hz Z RI R 50\n1 1\n"), "at column 4, expected a frequency and one pair"));
  CHECK(has(touchstone_error("# Hz Z RI R 50\n"), "expected a line of data"));
  CHECK(has(touchstone_error("# Hz Z RI R 50\n1 \xC2\xB5 2\n"), "at column 3, expected ASCII"));
  CHECK(has(touchstone_error("# Hz\n[Version] 2.0\n"), "expected [Version] before anything else"));
  CHECK(has(touchstone_error("[Version] 2.1\n"), "expected version 2.0"));
  CHECK(has(touchstone_error("[Number of Ports] 1\n"), "expected [Version] 2.0 before any other keyword"));
  CHECK(has(touchstone_error("[Version] 2.0\n# Hz Z\n[Number of Ports] 1\n1 2 3\n"),
            "[Network Data] before the data"));
  CHECK(has(touchstone_error("[Version] 2.0\n# Hz Z\n[Number of Ports] 1\n[Network Data]\n1 2 3\n"),
            "expected [End]"));
  CHECK(has(touchstone_error(
                "[Version] 2.0\n# Hz Z\n[Number of Ports] 1\n[Number of Frequencies] 2\n[Network Data]\n"
                "1 2 3\n[End]\n"),
            "as many lines of data as [Number of Frequencies] says"));
  CHECK(has(touchstone_error("[Version] 2.0\n[Noise Data]\n"), "expected a keyword of a one-port file"));
  CHECK(has(touchstone_error("[Version 2.0\n"), "expected ] after the keyword"));
}

TEST_CASE("a divider: the input comes off, points near 1 count less, a ratio of 1 is refused") {
  measured_curve h{.kind = curve_kind::ratio, .hz = {100, 1000}, .value = {{0.5, 0.1}, {0.9, 0.05}}};
  h.spread = {0.001, 0.002};
  const measured_curve z = impedance_from_divider(h, {.reference = 9_kOhm, .generator = 1_kOhm});
  for (std::size_t i = 0; i < 2; ++i) {
    CHECK(near(z.value[i], 1e4 * h.value[i] / (1.0 - h.value[i]), 1e-12));
    CHECK(near(z.spread[i], h.spread[i] / std::abs(1.0 - h.value[i]), 1e-12));
  }
  h.value[1] = 1;
  CHECK(error_of([&] { (void)impedance_from_divider(h, {.reference = 9_kOhm}); }) ==
        "curve, point 2 of 2 is a ratio of 1; allowed: some voltage across the reference resistor");
  CHECK(error_of([&] { (void)impedance_from_divider(h, {}); }) ==
        "divider.reference is 0 Ω; allowed: more than 0 Ω");
  CHECK(error_of([&] { (void)impedance_from_divider(z, {.reference = 1_kOhm}); }) ==
        "curve is an impedance; allowed: a voltage ratio V2/V1");
}

TEST_CASE("suspicions: units, phase, noise") {
  CHECK(suspicion(of_coil()).empty());
  CHECK(suspicion(of_coil(0.02)).empty());
  const auto changed = [](auto change) {
    measured_curve c = of_coil(0.005);
    for (std::size_t i = 0; i < c.size(); ++i) change(c.hz[i], c.value[i]);
    return suspicion(c);
  };
  CHECK(has(changed([](double& f, complex&) { f /= 1e3; }), "kHz read as Hz?"));
  CHECK(has(changed([](double& f, complex&) { f *= 1e4; }), "Hz read as kHz?"));
  CHECK(has(changed([](double&, complex& z) { z /= 1e3; }), "kΩ read as Ω?"));
  CHECK(has(changed([](double&, complex& z) { z *= 1e3; }), "Ω read as kΩ?"));
  CHECK(has(
      changed([](double&, complex& z) { z = std::polar(std::abs(z), std::arg(z) * std::numbers::pi / 180); }),
      "radians read as degrees?"));
  CHECK(has(
      changed([](double&, complex& z) { z = std::polar(std::abs(z), std::arg(z) * 180 / std::numbers::pi); }),
      "degrees read as radians"));
  CHECK(has(changed([](double&, complex& z) { z = std::conj(z); }), "wrong sign"));
  CHECK(has(changed([](double&, complex& z) { z *= std::polar(1.0, 2.0); }), "which no passive part has"));
  // A phase that was unwrapped, by whole turns, is the same value.
  measured_curve turned = of_coil();
  for (std::size_t i = 0; i < turned.size(); ++i)
    turned.value[i] =
        polar_deg(std::abs(turned.value[i]), std::arg(turned.value[i]) * 180 / std::numbers::pi - 720);
  CHECK(suspicion(turned).empty());
  CHECK(near(fit_coil(turned, {1, false}).coil.capacitance.value(), 130e-12, 1e-6));
}

TEST_CASE("curves that are none") {
  measured_curve noise{.hz = log_grid(50_Hz, 25_kHz, 60)};
  std::mt19937_64 bits(5);
  const auto uniform = [&] { return static_cast<double>(bits() >> 11U) * 0x1p-52 - 1; };
  for (std::size_t i = 0; i < noise.hz.size(); ++i)
    noise.value.push_back(1e4 * std::exp(2 * uniform()) * std::polar(1.0, 3 * uniform()));
  const std::string text = error_of([&] { (void)identify_coil(noise); });
  CHECK(has(text, "no coil: the best fit is off by"));
  CHECK(has(text, "noise?"));
  CHECK(has(text, "allowed: the impedance of a coil, more signal than noise"));

  const auto cut = [](std::size_t points) {
    measured_curve c = of_coil();
    c.hz.resize(points);
    c.value.resize(points);
    return c;
  };
  CHECK(error_of([&] { (void)identify_coil(cut(2)); }) == "curve is 2 points; allowed: 3 or more");
  CHECK(identify_coil(cut(3)).tried.size() == 2);
  CHECK(error_of([&] {
          (void)fit_coil(cut(3), {2, true});
        }) == "curves is 6 numbers in all; allowed: more than the 8 unknowns");
  measured_curve bad = of_coil();
  bad.value[7] = {std::numeric_limits<double>::quiet_NaN(), 1};
  CHECK(error_of([&] { (void)identify_coil(bad); }) ==
        "curve, point 8 of 60 is not a number; allowed: any finite value");
  bad = of_coil();
  std::swap(bad.hz[3], bad.hz[4]);
  CHECK(has(error_of([&] { (void)identify_coil(bad); }), "curve, point 5 of 60 is"));
  bad = of_coil();
  bad.kind = curve_kind::ratio;
  CHECK(has(error_of([&] { (void)fit_coil(bad, {}); }), "curve is a voltage ratio"));
  bad = of_coil();
  bad.spread = {1};
  CHECK(has(error_of([&] { (void)fit_coil(bad, {}); }), "lists of unlike length"));
}
