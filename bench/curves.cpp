// SPDX-License-Identifier: BSL-1.0
// A curve of 1024 points: directly from the program, by its transfer function, and from a knob to the curve.
#include <complex>
#include <string>
#include <vector>

#include <benchmark/benchmark.h>

#include <lodewire/circuit/composer.hpp>
#include <lodewire/circuit/evaluator.hpp>

#include "agreement.hpp"
#include "instruments.hpp"
#include "peers/peers.hpp"

namespace {

using namespace bench;
using namespace lodewire;
using curve = std::vector<std::complex<double>>;

curve joined(const std::vector<double>& re, const std::vector<double>& im) {
  curve out;
  for (std::size_t i = 0; i < re.size(); ++i) out.emplace_back(re[i], im[i]);
  return out;
}

curve direct(which circuit) {
  const source rig = instrument(circuit);
  curve out(points);
  evaluator(rig.as_circuit()).responses(rig.as_circuit(), grid(), {}, out);
  return out;
}

/// Turns "volume" there and back again, as the timed loop does.
struct knob_to_curve {
  source rig;
  composer compose{rig.as_circuit()};
  potentiometer pot = volume();
  value_range legs = rig.range("volume");
  std::vector<double> re = std::vector<double>(points), im = re;

  void operator()(double travel) {
    pot.turn(rig, legs, knob(travel));
    compose.response(rig.as_circuit(), std::span<const double>()).evaluate(grid(), re, im);
  }
};

void time_direct(benchmark::State& state, which circuit) {
  const source rig = instrument(circuit);
  evaluator evaluate(rig.as_circuit());
  curve out(points);
  const auto hz = grid();
  for (auto _ : state) {
    evaluate.responses(rig.as_circuit(), hz, {}, out);
    benchmark::DoNotOptimize(out.data());
    benchmark::ClobberMemory();
  }
}

void time_compose(benchmark::State& state, which circuit) {
  const source rig = instrument(circuit);
  composer compose(rig.as_circuit());
  for (auto _ : state) {
    const transfer_function h = compose.response(rig.as_circuit(), std::span<const double>());
    benchmark::DoNotOptimize(&h);
    benchmark::ClobberMemory();
  }
}

void time_evaluate(benchmark::State& state, which circuit) {
  const transfer_function h = transfer(instrument(circuit));
  std::vector<double> re(points), im(points);
  const auto hz = grid();
  for (auto _ : state) {
    h.evaluate(hz, re, im);
    benchmark::DoNotOptimize(re.data());
    benchmark::DoNotOptimize(im.data());
    benchmark::ClobberMemory();
  }
}

void time_knob(benchmark::State& state, which circuit) {
  knob_to_curve turn{instrument(circuit)};
  double travel = 3;
  for (auto _ : state) {
    turn(travel);
    travel = 10 - travel;
    benchmark::DoNotOptimize(turn.re.data());
    benchmark::DoNotOptimize(turn.im.data());
    benchmark::ClobberMemory();
  }
}

template <auto Peer>
void time_peer(benchmark::State& state, which circuit) {
  const circuit_values v = typical_values();
  curve out(points);
  const double* hz = grid().data();
  for (auto _ : state) {
    Peer(circuit, v, hz, points, out.data());
    benchmark::DoNotOptimize(out.data());
    benchmark::ClobberMemory();
  }
}

template <class Peer>
void time_split(benchmark::State& state, const Peer& peer) {
  std::vector<double> re(points), im(points);
  const double* hz = grid().data();
  for (auto _ : state) {
    peer(hz, re.data(), im.data());
    benchmark::DoNotOptimize(re.data());
    benchmark::DoNotOptimize(im.data());
    benchmark::ClobberMemory();
  }
}

template <class Peer>
curve by_split(const Peer& peer) {
  std::vector<double> re(points), im(points);
  peer(grid().data(), re.data(), im.data());
  return joined(re, im);
}

template <auto Peer>
auto by_hand(which circuit) {
  return [circuit, v = typical_values()](const double* hz, double* re, double* im) {
    Peer(circuit, v, hz, points, re, im);
  };
}
const auto by_ladder = [](const double* hz, double* re, double* im) {
  ladder(typical_values(), hz, points, re, im);
};

/// The coefficients of the five-part circuit, filled with zeros.
struct coefficients {
  double n[5] = {}, d[5] = {};
  coefficients() {
    const transfer_function h = transfer(instrument(which::five));
    if (h.numerator().size() != 3 || h.denominator().size() != 5)
      throw std::logic_error("The five-part circuit is not of degree 2 over 4");
    std::copy(h.numerator().begin(), h.numerator().end(), n);
    std::copy(h.denominator().begin(), h.denominator().end(), d);
  }
};
template <auto Peer>
auto by_ratio() {
  return [c = coefficients()](const double* hz, double* re, double* im) {
    Peer(c.n, c.d, scale::per_second, hz, points, re, im);
  };
}

const at_start rows([] {
  using benchmark::RegisterBenchmark;
  for (const which circuit : every_circuit) {
    const std::string name = name_of[static_cast<int>(circuit)];
    const auto row = [&](const char* what, auto run) {
      RegisterBenchmark((std::string(what) + "/" + name).c_str(),
                        [circuit, run](benchmark::State& s) { run(s, circuit); });
    };
    row("direct", time_direct);
    row("compose", time_compose);
    row("evaluate", time_evaluate);
    row("knob_to_curve", time_knob);
    row("plain", time_peer<plain>);
    row("plain_limited", time_peer<plain_limited>);
    row("split", [](benchmark::State& s, which c) { time_split(s, by_hand<split>(c)); });
    row("split_tuned", [](benchmark::State& s, which c) { time_split(s, by_hand<split_tuned>(c)); });
  }
  RegisterBenchmark("ladder/five", [](benchmark::State& s) { time_split(s, by_ladder); });
  RegisterBenchmark("bare_ratio/five", [](benchmark::State& s) { time_split(s, by_ratio<bare_ratio>()); });
  RegisterBenchmark("bare_ratio_padded/five",
                    [](benchmark::State& s) { time_split(s, by_ratio<bare_ratio_padded>()); });
});

const at_start comparisons([] {
  for (const which circuit : every_circuit) {
    const std::string name = name_of[static_cast<int>(circuit)];
    // A polynomial loses digits with its degree.
    const double of_polynomial = circuit == which::forty ? 1e-7 : circuit == which::twenty ? 1e-9 : 1e-12;
    const auto same = [&](const char* what, double bound, auto compute) {
      agreements().push_back({std::string(what) + "/" + name, bound, [circuit, compute] {
                                return largest_difference(compute(circuit), direct(circuit));
                              }});
    };
    same("evaluate", of_polynomial, [](which c) {
      curve out(points);
      transfer(instrument(c)).evaluate(grid(), out);
      return out;
    });
    same("plain", 1e-12, [](which c) {
      curve out(points);
      plain(c, typical_values(), grid().data(), points, out.data());
      return out;
    });
    same("plain_limited", 1e-12, [](which c) {
      curve out(points);
      plain_limited(c, typical_values(), grid().data(), points, out.data());
      return out;
    });
    same("split", 1e-12, [](which c) { return by_split(by_hand<split>(c)); });
    same("split_tuned", 1e-12, [](which c) { return by_split(by_hand<split_tuned>(c)); });
    agreements().push_back({"knob_to_curve/" + name, of_polynomial, [circuit] {
                              knob_to_curve turn{instrument(circuit)};
                              curve peer(points);
                              double largest = 0;
                              for (const double travel : {3, 7}) {
                                turn(travel);
                                plain(circuit, turned(knob(travel)), grid().data(), points, peer.data());
                                largest =
                                    std::max(largest, largest_difference(joined(turn.re, turn.im), peer));
                              }
                              return largest;
                            }});
  }
  const auto ratio = [](const char* what, auto make) {
    agreements().push_back(
        {what, 1e-12, [make] { return largest_difference(by_split(make()), direct(which::five)); }});
  };
  ratio("ladder/five", [] { return by_ladder; });
  ratio("bare_ratio/five", [] { return by_ratio<bare_ratio>(); });
  ratio("bare_ratio_padded/five", [] { return by_ratio<bare_ratio_padded>(); });
});

} // namespace
