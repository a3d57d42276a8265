// SPDX-License-Identifier: Apache-2.0
// Prints what the reference tests compare: quantity, ours, published, difference, source.
// With --all it prints the random cross-checks too; exit code 1 if any value is not met.
#include <cstdio>
#include <cstring>

#include "reference/book.h"

int main(int argc, char** argv) {
  using namespace nthtree::reference;
  const bool everything = argc > 1 && std::strcmp(argv[1], "--all") == 0;
  std::size_t all = 0, missed = 0;
  for (const auto& [file, topic] : all_topics()) {
    Book book(file);
    topic(book);
    book.finish();
    const bool golden = std::strncmp(file, "golden_", 7) == 0;
    std::printf("\n%s\n  %s\n", book.title().c_str(), book.source().c_str());
    for (const auto& problem : book.problems()) std::printf("  PROBLEM %s\n", problem.c_str());
    missed += book.problems().size();
    if (golden && !everything) std::printf("  %zu values (--all shows them)\n", book.rows().size());
    if (!golden || everything) {
      std::printf("  %-52s %18s %18s %10s %9s  %s\n", "quantity", "ours", "published",
                  "difference", "allowed", "status");
    }
    for (const auto& row : book.rows()) {
      ++all;
      if (!row.met()) ++missed;
      if (golden && !everything && row.met()) continue;
      std::printf("%s %-52s %18.12g %18.12g %10.2g %9.2g  %s\n", row.met() ? " " : "X",
                  row.quantity.c_str(), row.ours, row.published, row.ours - row.published,
                  row.tolerance, row.status.c_str());
    }
  }
  std::printf("\n%zu values, %zu not met\n", all, missed);
  return missed == 0 ? 0 : 1;
}
