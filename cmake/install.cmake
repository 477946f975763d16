# SPDX-License-Identifier: BSL-1.0
# Install rules: the headers, a CMake package and a pkg-config file. Nothing in them depends on the machine's
# architecture, so both go below share/; both find the headers from where they lie, so the tree may be moved.
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)

set(lodewire_package_dir "${CMAKE_INSTALL_DATADIR}/cmake/lodewire")
install(TARGETS lodewire EXPORT lodewireTargets FILE_SET HEADERS)
install(EXPORT lodewireTargets NAMESPACE lodewire:: DESTINATION "${lodewire_package_dir}")

configure_package_config_file(cmake/lodewireConfig.cmake.in "${PROJECT_BINARY_DIR}/lodewireConfig.cmake"
  INSTALL_DESTINATION "${lodewire_package_dir}"
  NO_SET_AND_CHECK_MACRO)
write_basic_package_version_file("${PROJECT_BINARY_DIR}/lodewireConfigVersion.cmake"
  COMPATIBILITY SameMinorVersion
  ARCH_INDEPENDENT)

set(lodewire_pc_dir "${CMAKE_INSTALL_FULL_DATADIR}/pkgconfig")
file(RELATIVE_PATH lodewire_pc_to_prefix "${lodewire_pc_dir}" "${CMAKE_INSTALL_PREFIX}")
file(RELATIVE_PATH lodewire_prefix_to_include "${CMAKE_INSTALL_PREFIX}" "${CMAKE_INSTALL_FULL_INCLUDEDIR}")
configure_file(cmake/lodewire.pc.in "${PROJECT_BINARY_DIR}/lodewire.pc" @ONLY)

install(FILES "${PROJECT_BINARY_DIR}/lodewireConfig.cmake" "${PROJECT_BINARY_DIR}/lodewireConfigVersion.cmake"
  DESTINATION "${lodewire_package_dir}")
install(FILES "${PROJECT_BINARY_DIR}/lodewire.pc" DESTINATION "${CMAKE_INSTALL_DATADIR}/pkgconfig")
install(FILES "${PROJECT_SOURCE_DIR}/LICENSE" DESTINATION "${CMAKE_INSTALL_DOCDIR}")
