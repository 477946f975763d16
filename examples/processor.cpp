// SPDX-License-Identifier: BSL-1.0
// A minimal processor of the shape that plug-in frameworks expect: prepare, process, a parameter that any thread sets.
#include <atomic>
#include <cmath>
#include <cstdio>
#include <span>
#include <thread>
#include <vector>

#include <lodewire/digital/moving_filter.hpp>
#include <lodewire/lodewire.hpp>

// [processor]
/// A pickup with its volume control, cable and input; a mono channel. Nothing of lodewire in its interface.
class volume_processor {
public:
  /// From the host's main thread, while nothing is processed. Throws for a rate that is no rate.
  void prepare(double sample_rate) {
    using namespace lodewire;
    using namespace lodewire::literals;
    const source circuit = magnetic_coil{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 120_pF} |
                           pot_.as_divider(rotation(static_cast<double>(turned_))) |
                           cable{.length = 6_m, .capacitance = 100_pF_per_m} | input{};
    where_ = circuit.range("volume");
    filter_ = filter(circuit, frequency::from_value(sample_rate), {where_});
    glide_ = static_cast<float>(1 - std::exp(-static_cast<double>(piece) / (0.01 * sample_rate))); // 10 ms
  }
  /// 0 to 10, from any thread: only this number crosses to the audio thread. Anything else is not heard of.
  void set_volume(float number) noexcept {
    if (number >= 0 && number <= 10) wanted_.store(number, std::memory_order_relaxed);
  }
  /// From the audio thread: no lock, no allocation, no exception.
  void process(float* samples, std::size_t count) noexcept {
    for (std::size_t from = 0; from < count; from += piece) {
      const float wanted = wanted_.load(std::memory_order_relaxed) / 10;
      turned_ += glide_ * (wanted - turned_);
      if (std::abs(wanted - turned_) < 1e-4F) turned_ = wanted; // it has arrived: the filter is left alone
      const auto legs = pot_.legs(lodewire::rotation(static_cast<double>(turned_)));
      filter_.rewrite(where_, 0, legs.upper.value());
      filter_.rewrite(where_, 1, legs.lower.value());
      filter_.process(std::span(samples + from, count - from < piece ? count - from : piece));
    }
  }
  void reset() noexcept { filter_.reset(); }
  static constexpr std::size_t latency() noexcept { return 0; }

private:
  using filter = lodewire::basic_moving_filter<4, 2, 1>; // three states, two legs, one input
  static constexpr std::size_t piece = 32;               // samples between two looks at the knob

  lodewire::potentiometer pot_{
      .total = lodewire::resistance::from_value(500e3), .law = lodewire::audio_taper, .name = "volume"};
  lodewire::value_range where_{};
  filter filter_{};
  std::atomic<float> wanted_{10.F};
  float turned_ = 1, glide_ = 1;
};
// [processor]

namespace {

double level_db(const std::vector<float>& block) {
  double power = 0;
  for (const float x : block) power += static_cast<double>(x) * static_cast<double>(x);
  return 10 * std::log10(power / static_cast<double>(block.size()) + 1e-20);
}

} // namespace

int main() {
  volume_processor processor;
  processor.prepare(48e3);
  std::vector<float> block(480);
  double phase = 0;
  // A host: a user's thread turns the knob, this one asks for ten milliseconds of sound at a time.
  for (const float number : {10.F, 7.F, 3.F, 0.F, 10.F}) {
    std::thread user([&] { processor.set_volume(number); });
    user.join(); // a host would not wait; here the figures are to be the same at every run
    for (int k = 0; k < 20; ++k) {
      for (float& x : block) {
        phase += 2 * 3.14159265358979 * 440 / 48e3;
        x = static_cast<float>(std::sin(phase));
      }
      processor.process(block.data(), block.size());
    }
    std::printf("volume %4.1f: %6.1f dB\n", static_cast<double>(number), level_db(block));
  }
}
