// SPDX-License-Identifier: Apache-2.0
//
// A PostgreSQL server of the test's own: a temporary cluster on loopback, owned by an unprivileged
// user (the server refuses to run as root), gone when the program ends, however it ends.
//
//   if (!test::TemporaryPostgresql::is_here()) return;
//   std::string address = test::TemporaryPostgresql::get().new_database();
#pragma once

#include <string>

namespace nthtree::test {

class TemporaryPostgresql {
 public:
  // Whether Debian's PostgreSQL 15 is installed; NTHTREE_PG_BIN names another place.
  static bool is_here();
  // Starts it at the first call. Aborts the program where that fails.
  static TemporaryPostgresql& get();

  // A fresh database that belongs to the role "hub", as which the address connects.
  std::string new_database();
  void execute_as_superuser(const std::string& database_address, const std::string& sql);
  std::string superuser_address(const std::string& database_address) const;
  // What pg_dump writes, asked by that role; empty where it is refused.
  std::string dump(const std::string& database_address, const std::string& role);
  // The address of a fresh database with what pg_restore makes of it.
  std::string restored(const std::string& dump_file);
  // As after a power cut: the server's processes are killed, and started again from the disk.
  void kill_and_start_again();

 private:
  TemporaryPostgresql();
  ~TemporaryPostgresql();
  void start();
  std::string folder_;
  int port_ = 0, server_ = -1, databases_ = 0, dumps_ = 0;
};

}  // namespace nthtree::test
