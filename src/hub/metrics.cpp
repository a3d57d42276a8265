// SPDX-License-Identifier: Apache-2.0
#include "hub/metrics.h"

#include "base/text.h"

namespace nthtree::hub {
namespace {

std::string head(const char* name, const char* help, const char* type) {
  return base::print("# HELP %s %s\n# TYPE %s %s\n", name, help, name, type);
}

std::string counter(const char* name, const char* help, std::uint64_t value) {
  return head(name, help, "counter") +
         base::print("%s %llu\n", name, static_cast<unsigned long long>(value));
}

}  // namespace

void Metrics::answered(int status, double seconds) {
  const int hundreds = status / 100;
  ++by_class_[hundreds >= 1 && hundreds <= 5 ? static_cast<std::size_t>(hundreds) : 0];
  std::size_t bound = 0;
  while (bound < bounds_seconds.size() && seconds > bounds_seconds[bound]) ++bound;
  ++by_time_[bound];
  microseconds_ += static_cast<std::uint64_t>(seconds * 1e6);
}

std::string Metrics::text(const std::vector<Gauge>& gauges) const {
  std::string text = head("nthtree_answers_total", "Answers by class of status.", "counter");
  for (std::size_t c = 1; c < by_class_.size(); ++c) {
    text += base::print("nthtree_answers_total{class=\"%zuxx\"} %llu\n", c,
                        static_cast<unsigned long long>(by_class_[c].load()));
  }
  const char* const times = "nthtree_answer_seconds";
  text += head(times, "From a request's head to its answer sent.", "histogram");
  std::uint64_t all = 0;
  for (std::size_t i = 0; i < by_time_.size(); ++i) {
    all += by_time_[i];
    const std::string bound =
        i < bounds_seconds.size() ? base::print("%g", bounds_seconds[i]) : std::string("+Inf");
    text += base::print("%s_bucket{le=\"%s\"} %llu\n", times, bound.c_str(),
                        static_cast<unsigned long long>(all));
  }
  text += base::print("%s_sum %.6f\n%s_count %llu\n", times,
                      static_cast<double>(microseconds_) / 1e6, times,
                      static_cast<unsigned long long>(all));
  text += counter("nthtree_records_pushed_total", "Lines of pushes that were taken.",
                  records_pushed_);
  text += counter("nthtree_over_quota_total", "Pushes put off because a key sent too much.",
                  over_quota_);
  text += counter("nthtree_slowed_down_total", "Requests and tries refused as too many.",
                  slowed_down_);
  for (const Gauge& gauge : gauges) {
    text += head(gauge.name, gauge.help, "gauge") +
            base::print("%s %.17g\n", gauge.name, gauge.value);
  }
  return text;
}

}  // namespace nthtree::hub
