// SPDX-License-Identifier: Apache-2.0
//
// The hub's own program, started on a free port; where it keeps its records says an option.
//
//   unsigned short port = 0;
//   const pid_t hub = start_hub(program, "--data", folder.path(), port);  // 0: it did not start
#pragma once

#include <sys/types.h>
#include <unistd.h>

#include <cstdio>
#include <string>

namespace nthtree::test {

inline pid_t start_hub(const char* program, const char* option, const std::string& value,
                       unsigned short& port) {
  int ends[2];
  if (pipe(ends) != 0) return -1;
  const pid_t process = fork();
  if (process == 0) {
    dup2(ends[1], 1);
    execl(program, program, option, value.c_str(), "--listen", "127.0.0.1:0", nullptr);
    _exit(127);
  }
  close(ends[1]);
  FILE* said = fdopen(ends[0], "r");
  char line[256];
  while (port == 0 && fgets(line, sizeof line, said)) {
    const std::string text(line);
    if (text.rfind("listening on ", 0) == 0) {
      port = static_cast<unsigned short>(std::stoi(text.substr(text.rfind(':') + 1)));
    }
  }
  return process;
}

}  // namespace nthtree::test
