// SPDX-License-Identifier: Apache-2.0
//
// Writes the pages of operating characteristics: nthtree_oc <folder> [days] [seed] [skip], where
// `skip` leaves out the first so many pages (each page says what it was made with).
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>

#include "pages.h"

int main(int argc, char** argv) {
  using namespace nthtree::oc;
  if (argc < 2) {
    std::fputs("nthtree_oc <folder> [days] [seed]\n", stderr);
    return 2;
  }
  const std::string folder = argv[1];
  Effort effort;
  if (argc > 2) effort.days = std::max(40, std::atoi(argv[2]));
  if (argc > 3) effort.seed = std::strtoull(argv[3], nullptr, 10);
  std::printf("days %d seed %llu\n", effort.days, static_cast<unsigned long long>(effort.seed));
  int skip = argc > 4 ? std::atoi(argv[4]) : 0;
  for (auto make : {rates_pages, curve_pages, broken_pages, uncertain_pages, crew_pages,
                    drift_pages, stride_pages}) {
    if (skip-- > 0) continue;
    for (const Page& page : make(effort)) {
      const std::string path = folder + "/" + page.file;
      std::ofstream file(path, std::ios::binary);
      const bool is_table = path.ends_with(".md");
      file << page.text;
      if (is_table) {
        file << "\nMade by `./tools/oc` with " << effort.days << " days and seed " << effort.seed
             << ".\n";
      }
      if (!file) {
        std::fprintf(stderr, "cannot write %s\n", path.c_str());
        return 1;
      }
      std::printf("%s\n", path.c_str());
      std::fflush(stdout);
    }
  }
  return 0;
}
