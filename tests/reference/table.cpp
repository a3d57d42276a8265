// SPDX-License-Identifier: Apache-2.0
// Prints what the reference tests compare: quantity, ours, published, difference, source.
// With --all it prints the random cross-checks too; exit code 1 if any value is not met.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <set>
#include <string>

#include "base/arguments.h"
#include "reference/published_values.h"

namespace {

using namespace nthtree::reference;

constexpr std::size_t columns = 118;
constexpr std::size_t name_columns = 52;

struct Count {
  std::size_t all = 0, print = 0, missed = 0;
  std::set<std::string> sources;
};

// Words in lines of `columns`, each begun with `before`, from the second on with as many spaces.
void print_wrapped(std::string before, const std::string& text) {
  std::string line = before;
  before.assign(before.size(), ' ');
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    if (line.size() > before.size() && line.size() + 1 + end - at > columns) {
      std::printf("%s\n", line.c_str());
      line = before;
    }
    if (line.size() > before.size()) line += ' ';
    line += text.substr(at, end - at);
    at = end + 1;
  }
  std::printf("%s\n", line.c_str());
}

void print_row(const Row& row, const std::string& usual_status, bool golden) {
  const char mark = row.met() ? ' ' : 'X';
  std::string name = row.quantity;
  if (golden && name.find(row.id) != 0) name = row.id + ": " + name;
  if (name.size() > name_columns) {
    std::printf("%c %s\n", mark, name.c_str());
    name = "";
  }
  std::printf("%c %-*s %17.12g %17.12g %9.1e %8.1e%s%s\n", mark, static_cast<int>(name_columns),
              name.c_str(), row.ours, row.published, row.ours - row.published, row.tolerance,
              row.status == usual_status ? "" : "  ",
              row.status == usual_status ? "" : row.status.c_str());
}

void print_topic(const char* file, Topic topic, bool everything, Count& count) {
  PublishedValues published(file);
  topic(published);
  published.finish();
  std::printf("\n%s\n", published.title().c_str());
  print_wrapped("  source: ", published.source());
  print_wrapped("  values: ", published.status());
  if (!published.remarks().empty()) print_wrapped("  note:   ", published.remarks());
  for (const auto& problem : published.problems()) std::printf("  PROBLEM %s\n", problem.c_str());
  count.missed += published.problems().size();
  count.sources.insert(published.source());
  const bool golden = std::strncmp(file, "golden_", 7) == 0, summed_up = golden && !everything;
  if (!summed_up) {
    std::printf("  %-*s %17s %17s %9s %8s\n", static_cast<int>(name_columns), "quantity", "ours",
                "published", "differ by", "allowed");
  }
  double worst = 0;  // of what is allowed
  for (const auto& row : published.rows()) {
    ++count.all;
    count.print += row.from_print() ? 1 : 0;
    count.missed += row.met() ? 0 : 1;
    if (row.tolerance > 0) {
      worst = std::max(worst, std::fabs(row.ours - row.published) / row.tolerance);
    }
    if (!summed_up || !row.met()) print_row(row, published.status(), golden);
  }
  if (summed_up) {
    std::printf("  %zu values, the furthest off by %.0f %% of what is allowed (--all shows them)\n",
                published.rows().size(), 100 * worst);
  }
}

}  // namespace

int main(int argc, char** argv) {
  const auto arguments =
      nthtree::base::read_arguments({argv + 1, argv + argc}, {{"--all", false}}, 0, 0);
  if (!arguments) {
    std::fprintf(stderr, "reference_table [--all]: %s\n", arguments.error().text().c_str());
    return 2;
  }
  const bool everything = arguments->has("--all");
  Count count;
  for (const auto& [file, topic] : all_topics()) print_topic(file, topic, everything, count);
  std::printf("\n%zu values from %zu sources: %zu as printed (read, or from memory), %zu recomputed "
              "with another program\n%zu of %zu met, %zu not met\n", count.all,
              count.sources.size(), count.print, count.all - count.print,
              count.all - count.missed, count.all, count.missed);
  return count.missed == 0 ? 0 : 1;
}
