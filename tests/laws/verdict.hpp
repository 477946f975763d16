// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <string>
#include <string_view>

#include <doctest/doctest.h>

#include <lodewire/quantity/finite.hpp>

#include "reading.hpp"

namespace laws {

/// What came of a law: how often it was tested, how often it did not hold, and how near to the bound it came.
class verdict {
public:
  explicit verdict(std::string law) : law_{std::move(law)} {}

  /// Whom the next checks are about.
  void about(std::string whom) { whom_ = std::move(whom); }

  /// Two numbers that are the same but for their rounding.
  void same(const measured& a, const measured& b, std::string_view what = "") {
    if (!is_clear(a, b)) return;
    const double distance = std::abs(a.value - b.value), allowed = a.off + b.off;
    count(is_finite(distance) && distance <= allowed, what);
    if (allowed > 0) closest_ = std::max(closest_, distance / allowed);
  }
  /// a ≤ b but for their rounding.
  void at_most(const measured& a, const measured& b, std::string_view what = "") {
    if (!is_clear(a, b)) return;
    const double excess = a.value.real() - b.value.real();
    count(is_finite(excess) && excess <= a.off + b.off, what);
  }
  void holds(bool what_must, std::string_view what = "") { count(what_must, what); }

  /// As checks of doctest. A law that was never tested, or whose numbers were mostly unknown, has not held.
  void report() const {
    INFO(law_, ": ", first_wrong_);
    CHECK(wrong_ == 0);
    CHECK(checks_ > 0);
    CHECK(static_cast<double>(vague_) <= 0.02 * static_cast<double>(checks_));
    MESSAGE(law_ << ": " << checks_ << " checks, at most " << closest_ << " of the bound, which is "
                 << widest_ << " at most; " << vague_ << " vague");
  }

private:
  /// Whether there is a bound to test with. One that is large beside the numbers is used, and counted as
  /// vague.
  [[nodiscard]] bool is_clear(const measured& a, const measured& b) {
    const double allowed = a.off + b.off;
    const double size = std::max({std::abs(a.value), std::abs(b.value), a.beside, b.beside});
    if (!(allowed < 1e290)) { // an open on both sides, or a number of which nothing is known
      ++vague_;
      return false;
    }
    if (size > 0) widest_ = std::max(widest_, allowed / size);
    if (size > 0 && allowed > 1e-7 * size) ++vague_;
    return true;
  }
  void count(bool good, std::string_view what) {
    ++checks_;
    if (!good && wrong_++ == 0) first_wrong_ = whom_ + (what.empty() ? "" : ", ") + std::string(what);
  }
  std::string law_, whom_ = "?", first_wrong_ = "no breach";
  std::size_t checks_ = 0, wrong_ = 0, vague_ = 0;
  double closest_ = 0, widest_ = 0;
};

/// Two circuits that are the same seen from outside: impedance, and the response to each EMF. `order[k]` is
/// the number in `left` of EMF k of `right`; without it they come alike.
inline void same_circuit(verdict& v, const way& by, const circuit& left, const circuit& right,
                         std::span<const std::size_t> order = {}) {
  const reading a = by(left), b = by(right);
  v.holds(a.status == circuit_status::ok && b.status == a.status, "status");
  v.holds(a.response.size() == b.response.size(), "number of EMFs");
  for (std::size_t i = 0; i < by.points.size(); ++i) {
    v.same(a.impedance[i], b.impedance[i], "impedance");
    for (std::size_t k = 0; k < b.response.size(); ++k)
      v.same(a.response[order.empty() ? k : order[k]][i], b.response[k][i], "response");
  }
}

} // namespace laws
