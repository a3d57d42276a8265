// SPDX-License-Identifier: Apache-2.0
//
// What the hub counts of itself, as the text that Prometheus and its kin read (exposition format
// 0.0.4). Counts begin at the start of the process.
//
// Thread safe.
//
//   metrics.answered(200, 0.003);  …  metrics.text({{"nthtree_records", "…", 17}});
#pragma once

#include <array>
#include <atomic>
#include <cstdint>
#include <string>
#include <vector>

namespace nthtree::hub {

struct Gauge {
  const char* name;
  const char* help;
  double value = 0;
};

class Metrics {
 public:
  void answered(int status, double seconds);
  void pushed(std::uint64_t records) { records_pushed_ += records; }
  void over_quota() { ++over_quota_; }
  void slowed_down() { ++slowed_down_; }
  std::string text(const std::vector<Gauge>& gauges) const;

 private:
  static constexpr std::array<double, 7> bounds_seconds = {.005, .01, .025, .05, .1, .5, 2};

  std::array<std::atomic<std::uint64_t>, 6> by_class_{};  // of 200, 300 …; 0: none of these
  std::array<std::atomic<std::uint64_t>, bounds_seconds.size() + 1> by_time_{};
  std::atomic<std::uint64_t> microseconds_ = 0;
  std::atomic<std::uint64_t> records_pushed_ = 0, over_quota_ = 0, slowed_down_ = 0;
};

}  // namespace nthtree::hub
