// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <atomic>
#include <type_traits>

namespace lodewire {

/// Hands the latest value of a trivially copyable type (a `cascade`, a `moving_filter`, a struct of knobs) from one thread
/// to one other: the writer never waits, the reader takes the newest or learns that there is none. Three places: one
/// that the writer fills, one that the reader holds, one in between that both exchange. Nothing blocks or allocates.
/// `publish` from the one thread only, `take` and `value` from the other only. Cost: a copy and an atomic exchange.
template <class Value>
class latest_value {
  static_assert(std::is_trivially_copyable_v<Value>, "a value that can be copied byte by byte");

public:
  latest_value() = default;
  explicit latest_value(const Value& first) noexcept : places_{first, first, first} {}
  latest_value(const latest_value&) = delete;
  latest_value& operator=(const latest_value&) = delete;

  void publish(const Value& v) noexcept {
    places_[writing_] = v;
    writing_ = between_.exchange(writing_ | fresh, std::memory_order_acq_rel) & place;
  }

  /// Takes what was published last; false if nothing has come since. `value` is then the new one.
  [[nodiscard]] bool take() noexcept {
    if ((between_.load(std::memory_order_relaxed) & fresh) == 0) return false;
    reading_ = between_.exchange(reading_, std::memory_order_acq_rel) & place;
    return true;
  }
  /// What the reader holds.
  [[nodiscard]] const Value& value() const noexcept { return places_[reading_]; }
  [[nodiscard]] Value& value() noexcept { return places_[reading_]; }

private:
  static constexpr unsigned place = 3, fresh = 4;
  Value places_[3]{};
  std::atomic<unsigned> between_{1};
  unsigned writing_ = 0, reading_ = 2;
};

} // namespace lodewire
