// SPDX-License-Identifier: Apache-2.0
//
// nthtree-hub: serves the app, keeps the farm's records, and looks after its own file.
#include <cstdio>
#include <cstdlib>

#include "hub/commands.h"
#include "hub/store_postgresql.h"

namespace {

int wrong(const nthtree::base::Error& error) {
  std::fprintf(stderr, "nthtree-hub: %s%s%s\n%s", error.where.c_str(),
               error.where.empty() ? "" : " ", error.what.c_str(), nthtree::hub::usage_text);
  return 2;
}

}  // namespace

int main(int argc, char** argv) {
  using namespace nthtree::hub;
  const auto command = read_command({argv + 1, argv + argc},
                                    [](const char* name) { return std::getenv(name); });
  if (!command) return wrong(command.error());
  if (command->help) return std::fputs(usage_text, stdout), 0;
  if (command->version) {
    return std::printf("nthtree-hub %s, %s\n", NTHTREE_VERSION, postgresql_support), 0;
  }
  const auto status = run_command(command->name, command->options);
  if (status) return 0;
  if (status.error().id == "usage") return wrong(status.error());
  std::fprintf(stderr, "nthtree-hub: %s\n", status.error().text().c_str());
  return 1;
}
