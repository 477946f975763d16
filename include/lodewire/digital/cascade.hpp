// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <span>
#include <stdexcept>
#include <utility>

#include <lodewire/digital/sample_guard.hpp>

namespace lodewire {

/// (b0 + b1·z⁻¹ + b2·z⁻²)/(1 + a1·z⁻¹ + a2·z⁻²). One of first order has b2 = a2 = 0.
struct second_order_section {
  double b0 = 1, b1 = 0, b2 = 0, a1 = 0, a2 = 0;
  [[nodiscard]] bool operator==(const second_order_section&) const = default;
};

/// A cascade of second-order sections in the transposed direct form II, for one channel of samples. States and
/// arithmetic are double for float samples too: poles near z = 1 need it. A trivially copyable value without a pointer:
/// copy it into a queue to hand it to another thread. An empty cascade passes the signal. Latency: 0 samples. NaN and
/// infinite samples count as silence; denormal numbers do not arise for longer than a chunk of 64 samples.
/// Every member that takes samples is `noexcept` and allocates nothing. Cost: five products a section and sample.
class cascade {
public:
  static constexpr std::size_t capacity = 24; ///< sections: degree 48

  cascade() noexcept = default;
  /// Throws `std::length_error` past `capacity`, `invalid_value` for a coefficient that is not finite.
  explicit cascade(std::span<const second_order_section> sections) : size_{sections.size()} {
    if (size_ > capacity) throw std::length_error("cascade: more than 24 sections");
    for (std::size_t k = 0; k < size_; ++k) {
      for (const double x : {sections[k].b0, sections[k].b1, sections[k].b2, sections[k].a1, sections[k].a2})
        require_finite("second_order_section coefficient", x);
      sections_[k] = sections[k];
    }
  }

  [[nodiscard]] std::span<const second_order_section> sections() const noexcept { return {sections_, size_}; }
  [[nodiscard]] static constexpr std::size_t latency() noexcept { return 0; }

  /// Forgets what was played.
  void reset() noexcept {
    for (state& s : states_) s = {};
  }
  /// Another cascade's coefficients, this one's states: as the same filter it goes on, as another it has a transient.
  void take_coefficients(const cascade& from) noexcept {
    for (std::size_t k = size_; k < from.size_; ++k) states_[k] = {};
    for (std::size_t k = 0; k < from.size_; ++k) sections_[k] = from.sections_[k];
    size_ = from.size_;
  }

  /// Filters a block in place, or from one span to another of the same length (float or double).
  template <class Sample>
  void process(std::span<Sample> block) noexcept {
    process(std::span<const Sample>(block), block);
  }
  template <class Sample>
  void process(std::span<const Sample> in, std::span<Sample> out) noexcept {
    detail::in_chunks(in, out, [this](double* x, std::size_t count) {
      std::size_t k = 0;
      for (; size_ - k > 6; k += 4) run<4>(k, x, count);
      switch (size_ - k) {
      case 1: run<1>(k, x, count); break;
      case 2: run<2>(k, x, count); break;
      case 3: run<3>(k, x, count); break;
      case 4: run<4>(k, x, count); break;
      case 5: run<5>(k, x, count); break;
      case 6: run<6>(k, x, count); break;
      default: break;
      }
    });
  }

  /// H at frequency f when it runs at that sampling rate. No check.
  [[nodiscard]] std::complex<double> response(frequency f, frequency rate) const noexcept {
    const auto w = std::polar(1., -2 * std::numbers::pi * f.value() / rate.value());
    std::complex<double> h = 1;
    for (const second_order_section& s : sections())
      h *= (s.b0 + w * (s.b1 + w * s.b2)) / (1. + w * (s.a1 + w * s.a2));
    return h;
  }

private:
  struct state {
    double first = 0, second = 0;
  };

  /// Several sections a sample at a time, so that one waits for its feedback while another works. Unrolled by hand:
  /// at -O2 compilers leave such a loop as it is, and its states in memory.
  template <std::size_t Count>
  void run(std::size_t from, double* x, std::size_t count) noexcept {
    run_unrolled(sections_ + from, states_ + from, x, count, std::make_index_sequence<Count>());
  }
  template <std::size_t... K>
  static void run_unrolled(const second_order_section* sections, state* states, double* x, std::size_t count,
                           std::index_sequence<K...>) noexcept {
    const second_order_section c[] = {sections[K]...};
    state s[] = {states[K]...};
    const auto one = [](double& v, const second_order_section& of, state& at) {
      const double y = of.b0 * v + at.first;
      at.first = (of.b1 * v + at.second) - of.a1 * y;
      at.second = of.b2 * v - of.a2 * y;
      v = y;
    };
    for (std::size_t i = 0; i < count; ++i) {
      double v = x[i];
      (one(v, c[K], s[K]), ...);
      x[i] = v;
    }
    ((states[K] = {detail::guarded(s[K].first), detail::guarded(s[K].second)}), ...);
  }

  second_order_section sections_[capacity]{};
  state states_[capacity]{};
  std::size_t size_ = 0;
};

} // namespace lodewire
