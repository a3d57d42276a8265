// SPDX-License-Identifier: Apache-2.0
//
// What nthtree-hub does for each of its commands (main.cpp reads the command line).
#pragma once

#include <cstdint>
#include <string>

#include "base/result.h"
#include "hub/limits.h"

namespace nthtree::hub {

struct Options {
  std::string data, site, scenario;
  std::string host = "127.0.0.1";
  unsigned short port = 8080;
  std::int64_t code_minutes = code_minutes_default;
  bool behind_tls = false;
  bool new_farm = false;      // make a store although there seems to have been one
  std::string trusted_proxy;  // its address
  std::string role, person;   // of a code
  std::string argument;  // FILE or NUMBER
};

// serve, code, keys, withdraw, set-aside, verify, backup or restore. Error id "usage": a wrong
// command.
base::Status run_command(const std::string& command, const Options& options);

}  // namespace nthtree::hub
