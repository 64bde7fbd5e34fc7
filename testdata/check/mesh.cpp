// Reads a binary STL file and prints, as one line of JSON, what CGAL finds:
//   facets     in the file
//   mesh       the facets make an oriented surface (each edge at most once each way)
//   closed     every edge has a facet on both sides
//   crossing   the surface passes through itself
//   outward    normals point out of the solid
//   volume     in the cube of the file's unit
//   parts      pieces that share no vertex
// What needs an answer to the one before is false or 0 where that was false.
// Exit 0 when the file could be read, else 2.
//
//   c++ -O2 -std=c++17 mesh.cpp -o mesh -lgmp -lmpfr

#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/IO/STL.h>
#include <CGAL/Polygon_mesh_processing/connected_components.h>
#include <CGAL/Polygon_mesh_processing/measure.h>
#include <CGAL/Polygon_mesh_processing/orientation.h>
#include <CGAL/Polygon_mesh_processing/polygon_soup_to_polygon_mesh.h>
#include <CGAL/Polygon_mesh_processing/self_intersections.h>
#include <CGAL/Surface_mesh.h>

#include <array>
#include <cstdio>
#include <fstream>
#include <vector>

namespace pmp = CGAL::Polygon_mesh_processing;
using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Mesh = CGAL::Surface_mesh<Kernel::Point_3>;

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fprintf(stderr, "usage: mesh FILE.stl\n");
    return 2;
  }
  std::vector<Kernel::Point_3> points;
  std::vector<std::array<std::size_t, 3>> facets;
  std::ifstream in(argv[1], std::ios::binary);
  if (!in || !CGAL::IO::read_STL(in, points, facets)) {
    std::fprintf(stderr, "mesh: %s cannot be read\n", argv[1]);
    return 2;
  }
  bool mesh = !facets.empty() && pmp::is_polygon_soup_a_polygon_mesh(facets);
  bool closed = false, crossing = false, outward = false;
  double volume = 0;
  std::size_t parts = 0;
  if (mesh) {
    Mesh m;
    pmp::polygon_soup_to_polygon_mesh(points, facets, m);
    closed = CGAL::is_closed(m);
    crossing = pmp::does_self_intersect(m);
    auto part = m.add_property_map<Mesh::Face_index, std::size_t>("f:part", 0).first;
    parts = pmp::connected_components(m, part);
    if (closed) {
      volume = CGAL::to_double(pmp::volume(m));
      // Whether a surface that crosses itself is turned outward has no answer.
      outward = !crossing && pmp::does_bound_a_volume(m) && volume > 0;
    }
  }
  auto text = [](bool b) { return b ? "true" : "false"; };
  std::printf("{\"facets\":%zu,\"mesh\":%s,\"closed\":%s,\"crossing\":%s,\"outward\":%s,\"volume\":%.6f,\"parts\":%zu}\n",
              facets.size(), text(mesh), text(closed), text(crossing), text(outward), volume, parts);
}
