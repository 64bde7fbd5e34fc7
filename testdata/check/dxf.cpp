// Reads a DXF file with dxflib and prints, as one line of JSON, its entities in
// order: type, layer, number of points (vertices or control points), number of
// knots, and the corners of the box of those points. Exit 0 when the file could be
// read, else 2.
//
// How it is compiled stands in export/dxf/lint/second.go.

#include <dxflib/dl_creationadapter.h>
#include <dxflib/dl_dxf.h>

#include <algorithm>
#include <cstdio>
#include <limits>
#include <string>
#include <vector>

struct Entity {
    std::string type, layer;
    int points = 0, knots = 0;
    double low[3], high[3];
    Entity(const std::string &t, const std::string &l) : type(t), layer(l) {
        for (int k = 0; k < 3; k++) {
            low[k] = std::numeric_limits<double>::infinity();
            high[k] = -low[k];
        }
    }
    void take(double x, double y, double z) {
        double p[3] = {x, y, z};
        for (int k = 0; k < 3; k++) {
            low[k] = std::min(low[k], p[k]);
            high[k] = std::max(high[k], p[k]);
        }
        points++;
    }
};

class Reader : public DL_CreationAdapter {
public:
    std::vector<Entity> all;
    void addLine(const DL_LineData &d) override {
        begin("LINE");
        all.back().take(d.x1, d.y1, d.z1);
        all.back().take(d.x2, d.y2, d.z2);
    }
    void addPoint(const DL_PointData &d) override {
        begin("POINT");
        all.back().take(d.x, d.y, d.z);
    }
    void addCircle(const DL_CircleData &d) override {
        begin("CIRCLE");
        all.back().take(d.cx, d.cy, d.cz);
    }
    void addText(const DL_TextData &d) override {
        begin("TEXT");
        all.back().take(d.ipx, d.ipy, d.ipz);
    }
    void addPolyline(const DL_PolylineData &) override { begin("POLYLINE"); }
    void addVertex(const DL_VertexData &d) override { all.back().take(d.x, d.y, d.z); }
    void addSpline(const DL_SplineData &) override { begin("SPLINE"); }
    void addControlPoint(const DL_ControlPointData &d) override { all.back().take(d.x, d.y, d.z); }
    void addKnot(const DL_KnotData &) override { all.back().knots++; }

private:
    void begin(const char *type) { all.emplace_back(type, attributes.getLayer()); }
};

int main(int argc, char **argv) {
    if (argc != 2) {
        std::fputs("usage: dxf FILE\n", stderr);
        return 2;
    }
    Reader reader;
    DL_Dxf file;
    if (!file.in(argv[1], &reader)) {
        std::fputs("cannot be read\n", stderr);
        return 2;
    }
    std::printf("[");
    for (size_t i = 0; i < reader.all.size(); i++) {
        const Entity &e = reader.all[i];
        std::printf("%s{\"type\":\"%s\",\"layer\":\"%s\",\"points\":%d,\"knots\":%d", i ? "," : "", e.type.c_str(), e.layer.c_str(), e.points, e.knots);
        if (e.points > 0)
            std::printf(",\"low\":[%.9f,%.9f,%.9f],\"high\":[%.9f,%.9f,%.9f]", e.low[0], e.low[1], e.low[2], e.high[0], e.high[1], e.high[2]);
        std::printf("}");
    }
    std::printf("]\n");
    return 0;
}
